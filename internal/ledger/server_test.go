package ledger

import (
	"context"
	"net"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
)

// server is a redis-server that a test runs on a port of its own.
type server struct {
	t    testing.TB
	port string
	args []string
	cmd  *exec.Cmd
}

// startRedis runs a redis-server that keeps its data in a folder of the test.
func startRedis(t testing.TB, args ...string) *server {
	t.Helper()
	if _, err := exec.LookPath("redis-server"); err != nil {
		if slices.Contains(strings.Split(os.Getenv("VENTBELL_REQUIRE"), ","), "redis") {
			t.Fatal("redis-server is required and not installed")
		}
		t.Skip("redis-server is not installed")
	}
	s := &server{t: t, port: freePort(t)}
	s.args = append([]string{
		"--bind", "127.0.0.1", "--port", s.port, "--dir", t.TempDir(),
		"--save", "", "--appendonly", "yes", "--appendfsync", "always",
	}, args...)
	s.start()
	t.Cleanup(s.kill)
	return s
}

func freePort(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
}

func (s *server) addr() string { return "127.0.0.1:" + s.port }

func (s *server) url() string { return "redis://" + s.addr() }

// start starts the server and waits until it serves.
func (s *server) start() {
	s.t.Helper()
	s.cmd = exec.Command("redis-server", s.args...)
	if err := s.cmd.Start(); err != nil {
		s.t.Fatal(err)
	}
	client := s.client()
	defer closeLedger(s.t, client)
	eventually(s.t, func() bool {
		conn, err := net.Dial("tcp", s.addr())
		if err != nil {
			return false
		}
		_ = conn.Close()
		return client.Ping(context.Background()).Err() == nil
	})
}

// kill ends the server as a power switch would.
func (s *server) kill() {
	_ = s.cmd.Process.Kill()
	_ = s.cmd.Wait()
}

// client is a client that is none of the ledger's.
func (s *server) client() *redis.Client {
	o, err := redis.ParseURL(s.url())
	if err != nil {
		s.t.Fatal(err)
	}
	return redis.NewClient(plain(o))
}

// eventually waits until a condition holds.
func eventually(t testing.TB, holds func() bool) {
	t.Helper()
	end := time.After(10 * time.Second)
	for !holds() {
		select {
		case <-end:
			t.Fatal("the condition never held")
		case <-time.After(2 * time.Millisecond):
		}
	}
}
