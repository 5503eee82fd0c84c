package bell_test

import (
	"context"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"ventbell/internal/bell"
	"ventbell/internal/clock"
)

const (
	openKitchens = 10_000
	dueKitchens  = 1_000 // of the open ones, in one round
)

// BenchmarkCallLateness shows how long after its moment a kitchen is rung and
// committed, with 10,000 kitchens open and 1,000 of them due within two
// seconds or at one instant. The floor beside it is the same number of timers
// of the standard library with moments of the same kind in the same run: no
// program on this machine can be more punctual. The index and the desk are in
// memory, so what is measured is the bell.
func BenchmarkCallLateness(b *testing.B) {
	for _, c := range []struct {
		name string
		over time.Duration
	}{{"spread over 2 s", 2 * time.Second}, {"at one instant", 0}} {
		b.Run(c.name, func(b *testing.B) {
			var rung, floor []time.Duration
			for b.Loop() {
				rung = append(rung, ringRound(b, c.over)...)
				floor = append(floor, timerRound(c.over)...)
			}
			report(b, rung, floor)
		})
	}
}

// someMoments gives n moments within over, from half a second on.
func someMoments(n int, over time.Duration) []time.Time {
	from := time.Now().Add(500 * time.Millisecond)
	moments := make([]time.Time, n)
	for i := range moments {
		moments[i] = from.Add(time.Duration(rand.Float64() * float64(over)))
	}
	return moments
}

// ringRound has a bell ring and gives how late each kitchen was.
func ringRound(b *testing.B, over time.Duration) []time.Duration {
	b.Helper()
	index := newMoments(clock.Wall(), 0)
	for i := range openKitchens - dueKitchens {
		index.set(fmt.Sprintf("open%05d", i), time.Now().Add(time.Hour))
	}
	due := someMoments(dueKitchens, over)
	for i, at := range due {
		index.set(fmt.Sprintf("due%05d", i), at)
	}

	desk := newPrompt(index, 0)
	var left sync.WaitGroup
	left.Add(dueKitchens)
	desk.then = func(string) time.Time { left.Done(); return time.Time{} }

	ctx, stop := context.WithCancel(b.Context())
	var running sync.WaitGroup
	running.Go(func() {
		bl := bell.New(bell.Config{
			Ledger: index, Desk: desk, Clock: index.clock,
			Log: slog.New(slog.DiscardHandler), Observe: &tally{},
		})
		if err := bl.Run(ctx); err != nil {
			b.Errorf("Run() = %v", err)
		}
	})
	left.Wait()
	stop()
	running.Wait()

	late := make([]time.Duration, len(due))
	for i, at := range due {
		got := desk.of(fmt.Sprintf("due%05d", i))
		if len(got) != 1 || got[0].done.Before(at) {
			b.Fatalf("kitchen %d rang %+v, want once, not before %v", i, got, at)
		}
		late[i] = got[0].done.Sub(at)
	}
	return late
}

// timerRound gives how late as many timers of the standard library are.
func timerRound(over time.Duration) []time.Duration {
	due := someMoments(dueKitchens, over)
	late := make([]time.Duration, len(due))
	var left sync.WaitGroup
	left.Add(len(due))
	for i, at := range due {
		time.AfterFunc(time.Until(at), func() {
			late[i] = time.Since(at)
			left.Done()
		})
	}
	left.Wait()
	return late
}

// report gives the lateness, the floor's, and how many floors the former is.
func report(b *testing.B, rung, floor []time.Duration) {
	b.Helper()
	slices.Sort(rung)
	slices.Sort(floor)
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
	}
	b.ReportMetric(0, "ns/op") // a round's length is chosen, not measured
}
