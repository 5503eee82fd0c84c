package main_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/redis/go-redis/v9"
	"github.com/redis/go-redis/v9/maintnotifications"
)

// server is a redis-server on a port of its own that writes every change to
// the disk before it answers.
type server struct {
	*child
	t      *testing.T
	port   string
	args   []string
	client *redis.Client
}

// startRedis starts a redis-server that keeps its data in a folder of the test.
func startRedis(t *testing.T, args ...string) *server {
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
	s.client = redis.NewClient(&redis.Options{
		Addr: "127.0.0.1:" + s.port, Protocol: 2, DisableIdentity: true,
		MaintNotificationsConfig: &maintnotifications.Config{Mode: maintnotifications.ModeDisabled},
	})
	s.start()
	t.Cleanup(func() { _ = s.client.Close() })
	return s
}

// start starts the server, also again on what it kept, and waits until it serves.
func (s *server) start() {
	s.t.Helper()
	s.child = start(s.t, nil, "redis-server", s.args...)
	eventually(s.t, "redis-server serves", func() bool {
		conn, err := net.Dial("tcp", "127.0.0.1:"+s.port)
		if err != nil {
			return false // a dial of the client's own would be told in the log
		}
		_ = conn.Close()
		return s.client.Ping(context.Background()).Err() == nil
	})
}

func (s *server) url() string { return "redis://127.0.0.1:" + s.port }

// contents gives every key with what it holds, in Redis's own form.
func (s *server) contents() map[string]string {
	s.t.Helper()
	ctx := s.t.Context()
	keys, err := s.client.Keys(ctx, "*").Result()
	if err != nil {
		s.t.Fatal(err)
	}
	all := make(map[string]string, len(keys))
	for _, key := range keys {
		if all[key], err = s.client.Dump(ctx, key).Result(); err != nil {
			s.t.Fatal(err)
		}
	}
	return all
}

var ports struct {
	sync.Mutex
	given map[int]bool
}

// freePort gives a port that no other test of this run gets. It lies below
// those that the system gives to outgoing connections, so that it stays free
// while the process that has it is killed and started again.
func freePort(t *testing.T) string {
	t.Helper()
	ports.Lock()
	defer ports.Unlock()
	if ports.given == nil {
		ports.given = map[int]bool{}
	}
	for range 1000 {
		port := 12_000 + rand.IntN(18_000)
		l, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", port))
		if err != nil {
			continue
		}
		_ = l.Close()
		if !ports.given[port] {
			ports.given[port] = true
			return strconv.Itoa(port)
		}
	}
	t.Fatal("no free port found")
	return ""
}
