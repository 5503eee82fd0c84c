// Package main_test runs the program as its users do: real processes, a real
// redis-server, real signed requests, kill -9.
package main_test

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// patience is the longest that anything is waited for. Only a failure lasts so
// long: it leaves room for a busy machine.
const patience = 60 * time.Second

var workshop string // where the program is built

func TestMain(m *testing.M) { os.Exit(run(m)) }

func run(m *testing.M) int {
	dir, err := os.MkdirTemp("", "ventbell-test-*")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	workshop = dir
	// These tests wait far more than they work, so more of them run at once
	// than there are processors.
	flag.Parse()
	if err := flag.Set("test.parallel", "8"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return m.Run()
}

// built gives the program, built once. A test with the race detector gets a
// program with it.
var built = sync.OnceValues(func() (string, error) {
	args := []string{"build", "-o", filepath.Join(workshop, "ventbell")}
	info, _ := debug.ReadBuildInfo()
	if slices.Contains(info.Settings, debug.BuildSetting{Key: "-race", Value: "true"}) {
		args = append(args, "-race")
	}
	out, err := exec.Command("go", append(args, ".")...).CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("build ventbell: %w\n%s", err, out)
	}
	return filepath.Join(workshop, "ventbell"), nil
})

// program gives the built program's path.
func program(t *testing.T) string {
	t.Helper()
	path, err := built()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// child is a process that a test started. It never outlives the test.
type child struct {
	t    *testing.T
	cmd  *exec.Cmd
	out  transcript
	log  transcript
	done chan struct{} // closed when it has ended
}

// start starts a program with an environment of its own.
func start(t *testing.T, env []string, path string, args ...string) *child {
	t.Helper()
	c := &child{t: t, cmd: exec.Command(path, args...), done: make(chan struct{})}
	c.cmd.Env = append([]string{"PATH=" + os.Getenv("PATH"), "TMPDIR=" + t.TempDir()}, env...)
	c.cmd.Stdout, c.cmd.Stderr = &c.out, &c.log
	tie(c.cmd)
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		_ = c.cmd.Wait() // how it ended stands in cmd.ProcessState
		close(c.done)
	}()
	t.Cleanup(func() {
		c.kill()
		if t.Failed() {
			t.Logf("%s said:\n%s", strings.Join(c.cmd.Args, " "), c.log.tail(3000))
		}
		if strings.Contains(c.log.String(), "DATA RACE") {
			t.Errorf("%s has a data race", strings.Join(c.cmd.Args, " "))
		}
	})
	return c
}

// ventbell starts one of the program's commands.
func ventbell(t *testing.T, env []string, args ...string) *child {
	t.Helper()
	return start(t, env, program(t), args...)
}

// kill ends the process as kill -9 does.
func (c *child) kill() {
	_ = c.cmd.Process.Kill()
	<-c.done
}

// signal asks the process to stop.
func (c *child) signal(s syscall.Signal) {
	c.t.Helper()
	if err := c.cmd.Process.Signal(s); err != nil && !errors.Is(err, os.ErrProcessDone) {
		c.t.Fatal(err)
	}
}

// ended waits for the end of the process and gives its exit status.
func (c *child) ended(within time.Duration) int {
	c.t.Helper()
	select {
	case <-c.done:
		return c.cmd.ProcessState.ExitCode()
	case <-time.After(within):
		c.t.Fatalf("%s has not ended within %s", strings.Join(c.cmd.Args, " "), within)
		return -1
	}
}

// transcript is what a process wrote.
type transcript struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

// Write takes what the process writes.
func (s *transcript) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.buf.Write(p)
}

// String gives all that was written so far.
func (s *transcript) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.buf.String()
}

// tail gives the last n bytes.
func (s *transcript) tail(n int) string {
	all := s.String()
	return all[max(0, len(all)-n):]
}

// eventually waits until a condition holds.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	end := time.After(patience)
	look := time.NewTicker(5 * time.Millisecond)
	defer look.Stop()
	for !holds() {
		select {
		case <-end:
			t.Fatalf("it never came to this: %s", what)
		case <-look.C:
		}
	}
}
