package app_test

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"ventbell/internal/bell"
	"ventbell/internal/book"
	"ventbell/internal/clock"
	"ventbell/internal/desk"
	"ventbell/internal/kitchen"
	"ventbell/internal/ledger"
	"ventbell/internal/request"
)

const (
	openKitchens = 10_000
	dueKitchens  = 400 // of the open ones, in one round
	dueOver      = 4 * time.Second
	hair         = 50 * time.Millisecond // the most that a moment may come early, on a busy machine
)

// BenchmarkCallLateness shows how long after its moment a due kitchen is rung
// and kept, with 10,000 kitchens open and 400 of them due within four seconds,
// through the real bell and the real desk on each ledger. The moments are
// reservations that run out. The floor beside it is as many timers of the
// standard library in the same run: no program on this machine is more
// punctual. What is above it is mostly the one commit that a moment costs,
// which is told besides.
func BenchmarkCallLateness(b *testing.B) {
	b.Run("file", func(b *testing.B) {
		f, err := ledger.OpenFile(filepath.Join(b.TempDir(), "ledger"), time.Now)
		if err != nil {
			b.Fatal(err)
		}
		benchLateness(b, f)
	})
	for _, fsync := range []string{"everysec", "always"} {
		b.Run("redis "+fsync, func(b *testing.B) {
			url := startRedis(b, "--appendfsync", fsync)
			r, err := ledger.DialRedis(b.Context(), ledger.RedisConfig{URL: url, Log: slog.New(slog.DiscardHandler)})
			if err != nil {
				b.Fatal(err)
			}
			benchLateness(b, r)
		})
	}
}

// keeper is a ledger as the bell and the desk use it.
type keeper interface {
	desk.Ledger
	bell.Ledger
	io.Closer
}

func benchLateness(b *testing.B, k keeper) {
	b.Cleanup(func() {
		if err := k.Close(); err != nil {
			b.Error(err)
		}
	})
	reader := request.NewReader(book.Sample())
	later := time.Now().Add(time.Hour).Truncate(time.Microsecond)
	commitAll(b, k, reader, "open", slices.Repeat([]time.Time{later}, openKitchens-dueKitchens))

	var rung, floor, commits []time.Duration
	for round := 0; b.Loop(); round++ {
		name, due := "due"+strconv.Itoa(round), someMoments()
		commitAll(b, k, reader, name, due)
		if now := time.Now(); !now.Before(slices.MinFunc(due, time.Time.Compare)) {
			b.Fatal("the first moment came before all kitchens were there")
		}
		late, took := ringRound(b, k, name, due)
		rung, commits = append(rung, late...), append(commits, took...)
		floor = append(floor, timerRound()...)
	}
	report(b, rung, floor, commits)
}

// someMoments gives the moments of one round, from a while on in which all
// kitchens can be written.
func someMoments() []time.Time {
	from := time.Now().Add(6 * time.Second)
	due := make([]time.Time, dueKitchens)
	for i := range due {
		due[i] = from.Add(rand.N(dueOver)).Truncate(time.Microsecond)
	}
	return due
}

// commitAll writes a kitchen for each moment: one reservation that runs out
// then, in the form in which a kitchen is kept.
func commitAll(b *testing.B, k keeper, reader *request.Reader, name string, due []time.Time) {
	b.Helper()
	work := make(chan int, len(due))
	for i := range due {
		work <- i
	}
	close(work)
	var hands sync.WaitGroup
	for range 32 {
		hands.Go(func() {
			for i := range work {
				ch, err := reservation(reader, due[i])
				if err == nil {
					_, _, err = k.Commit(b.Context(), name+"-"+strconv.Itoa(i), "", "", ch)
				}
				if err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	hands.Wait()
	if b.Failed() {
		b.FailNow()
	}
}

// reservation is the change that makes a kitchen whose one vessel is reserved
// until due. Nothing is posted: no runner is at work here.
func reservation(reader *request.Reader, due time.Time) (kitchen.Change, error) {
	k, err := kitchen.Decode("", nil)
	if err != nil {
		return kitchen.Change{}, err
	}
	const reserved = 10 * time.Minute // how long a vessel waits for its first charger
	by := kitchen.Person{ID: "U1", Name: "bar-1"}
	ch, answer := k.Handle(reader, book.Sample(), kitchen.Team{Channel: "C1", Managers: []kitchen.Person{by}},
		kitchen.Command{Text: "start rhubarb gin 400ml in A", By: by}, due.Add(-reserved))
	if answer.Kind != kitchen.Done || !ch.Due.Equal(due) {
		return ch, fmt.Errorf("answer %s, due %s, want %s", answer.Kind, ch.Due, due)
	}
	ch.Outbox = nil
	return ch, nil
}

// noting is a ledger that notes when a commit of some kitchens had returned,
// and how long it took.
type noting struct {
	keeper
	prefix string
	left   sync.WaitGroup

	mu   sync.Mutex
	done map[string]time.Time
	took []time.Duration
}

func (n *noting) Commit(ctx context.Context, id, rev, request string, ch kitchen.Change) (string, []byte, error) {
	began := time.Now()
	next, known, err := n.keeper.Commit(ctx, id, rev, request, ch)
	now := time.Now()
	if err == nil && len(ch.Log) > 0 && strings.HasPrefix(id, n.prefix) {
		n.mu.Lock()
		defer n.mu.Unlock()
		if _, twice := n.done[id]; !twice {
			n.done[id] = now
			n.took = append(n.took, now.Sub(began))
			n.left.Done()
		}
	}
	return next, known, err
}

// ringRound has the bell ring, and gives how late each due kitchen was kept
// and how long its commit took.
func ringRound(b *testing.B, k keeper, name string, due []time.Time) (late, took []time.Duration) {
	b.Helper()
	n := &noting{keeper: k, prefix: name + "-", done: map[string]time.Time{}}
	n.left.Add(len(due))
	log, wall := slog.New(slog.DiscardHandler), clock.Wall()
	d := desk.New(desk.Config{Ledger: n, Book: book.Sample(), Zone: time.UTC, Clock: wall, Log: log})
	ctx, stop := context.WithCancel(b.Context())
	var running sync.WaitGroup
	running.Go(func() {
		if err := bell.New(bell.Config{Ledger: n, Desk: d, Clock: wall, Log: log, Observe: nobody{}}).Run(ctx); err != nil {
			b.Error(err)
		}
	})
	n.left.Wait()
	stop()
	running.Wait()
	for i, at := range due {
		// The desk reckons the ledger's time to half a round trip, so a moment
		// can come a hair early.
		lag := n.done[name+"-"+strconv.Itoa(i)].Sub(at)
		if lag < -hair {
			b.Fatalf("kitchen %d rang %s early", i, -lag)
		}
		late = append(late, max(0, lag))
	}
	return late, n.took
}

// nobody is told how many kitchens are set aside.
type nobody struct{}

func (nobody) SetAside(int) {}

// timerRound gives how late as many timers of the standard library are.
func timerRound() []time.Duration {
	from := time.Now().Add(100 * time.Millisecond)
	late := make([]time.Duration, dueKitchens)
	var left sync.WaitGroup
	left.Add(len(late))
	for i := range late {
		at := from.Add(rand.N(dueOver))
		time.AfterFunc(time.Until(at), func() {
			late[i] = time.Since(at)
			left.Done()
		})
	}
	left.Wait()
	return late
}

// report gives the lateness, the floor's, how many floors the former is, and
// what a commit took.
func report(b *testing.B, rung, floor, commits []time.Duration) {
	b.Helper()
	slices.Sort(rung)
	slices.Sort(floor)
	slices.Sort(commits)
	ms := func(d time.Duration) float64 { return float64(d) / float64(time.Millisecond) }
	for _, q := range []struct {
		name string
		of   func([]time.Duration) time.Duration
	}{
		{"p50", func(l []time.Duration) time.Duration { return l[len(l)/2] }},
		{"p99", func(l []time.Duration) time.Duration { return l[len(l)*99/100] }},
		{"max", func(l []time.Duration) time.Duration { return l[len(l)-1] }},
	} {
		b.ReportMetric(ms(q.of(rung)), q.name+"-ms")
		b.ReportMetric(ms(q.of(floor)), "floor-"+q.name+"-ms")
		b.ReportMetric(ms(q.of(rung))/ms(q.of(floor)), q.name+"-floors")
		b.ReportMetric(ms(q.of(commits)), "commit-"+q.name+"-ms")
	}
	b.ReportMetric(0, "ns/op") // a round's length is chosen, not measured
}

// startRedis runs a redis-server that keeps its data in a folder of the
// benchmark, and gives its URL.
func startRedis(b *testing.B, args ...string) string {
	b.Helper()
	if _, err := exec.LookPath("redis-server"); err != nil {
		if slices.Contains(strings.Split(os.Getenv("VENTBELL_REQUIRE"), ","), "redis") {
			b.Fatal("redis-server is required and not installed")
		}
		b.Skip("redis-server is not installed")
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	address := l.Addr().String()
	_ = l.Close()
	_, port, _ := net.SplitHostPort(address)
	cmd := exec.Command("redis-server", append([]string{
		"--bind", "127.0.0.1", "--port", port, "--dir", b.TempDir(), "--save", "", "--appendonly", "yes",
	}, args...)...)
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() {
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	end, look := time.After(10*time.Second), time.NewTicker(5*time.Millisecond)
	defer look.Stop()
	for {
		conn, err := net.Dial("tcp", address)
		if err == nil {
			_ = conn.Close()
			return "redis://" + address
		}
		select {
		case <-look.C:
		case <-end:
			b.Fatal(err)
		}
	}
}
