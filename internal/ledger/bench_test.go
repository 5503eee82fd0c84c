package ledger

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"path/filepath"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"ventbell/internal/kitchen"
)

// floorRounds is how often the floor beside a benchmark is measured.
const floorRounds = 2000

// benched is a ledger to measure, with the least that its store can do: one
// small write.
type benched struct {
	keeper
	floor func(n int) error
}

func benchPlaces(b *testing.B, bench func(*testing.B, benched)) {
	b.Run("file", func(b *testing.B) {
		f, err := OpenFile(filepath.Join(b.TempDir(), "ledger"), time.Now)
		if err != nil {
			b.Fatal(err)
		}
		defer closeLedger(b, f)
		bench(b, benched{f, func(n int) error {
			return f.write(context.Background(), func(s *step) error { s.put(inMeta, "x", fmt.Append(nil, n)); return nil })
		}})
	})
	for _, fsync := range []string{"everysec", "always"} {
		b.Run("redis "+fsync, func(b *testing.B) {
			s := startRedis(b, "--appendfsync", fsync)
			r := dial(b, RedisConfig{URL: s.url(), Log: slog.New(slog.DiscardHandler)})
			bench(b, benched{r, func(n int) error {
				return r.client.ZAdd(context.Background(), "floor", redis.Z{Score: float64(n), Member: "pump house"}).Err()
			}})
		})
	}
}

// perFloor reports a benchmark as so many of its store's smallest writes.
func perFloor(b *testing.B, floor func(n int) error) {
	b.Helper()
	each := b.Elapsed() / time.Duration(b.N)
	began := time.Now()
	for n := range floorRounds {
		if err := floor(n); err != nil {
			b.Fatal(err)
		}
	}
	least := time.Since(began) / floorRounds
	b.ReportMetric(float64(least.Nanoseconds()), "floor-ns")
	b.ReportMetric(float64(each)/float64(least), "x-floor")
}

// fourBatches is a kitchen of some 2 KB.
func fourBatches() map[string][]byte {
	set := map[string][]byte{"h": bytes.Repeat([]byte("h"), 120)}
	for i := range 4 {
		set[fmt.Sprint("p/", i)] = bytes.Repeat([]byte("p"), 350)
		set[fmt.Sprint("b/", i)] = bytes.Repeat([]byte("b"), 110)
	}
	return set
}

func BenchmarkCommit(b *testing.B) {
	benchPlaces(b, func(b *testing.B, k benched) {
		ctx := b.Context()
		rev, _, err := k.Commit(ctx, "pump house", "", "", kitchen.Change{Set: fourBatches(), Due: exact})
		if err != nil {
			b.Fatal(err)
		}
		n := 0
		for b.Loop() {
			n++
			rev, _, err = k.Commit(ctx, "pump house", rev, fmt.Sprint("r", n), oneTap(n))
			if err != nil {
				b.Fatal(err)
			}
		}
		perFloor(b, k.floor)
	})
}

// oneTap is what a charger's tap changes.
func oneTap(n int) kitchen.Change {
	line := storedL
	line.Request = fmt.Sprint("r", n)
	return kitchen.Change{
		Set:    map[string][]byte{"b/1": bytes.Repeat([]byte{byte(n)}, 110)},
		Due:    exact.Add(time.Duration(n) * time.Millisecond),
		Outbox: []kitchen.Entry{entry("7/slip", "C024BE91L", uint64(n))},
		Log:    []kitchen.Line{line},
		Answer: []byte("charged 1 of 2"),
	}
}

func BenchmarkLoad(b *testing.B) {
	benchPlaces(b, func(b *testing.B, k benched) {
		if _, _, err := k.Commit(b.Context(), "pump house", "", "r1", kitchen.Change{Set: fourBatches(), Due: exact}); err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			if _, err := k.Load(b.Context(), "pump house", "r2"); err != nil {
				b.Fatal(err)
			}
		}
		perFloor(b, k.floor)
	})
}

// BenchmarkDelivery is one entry's way: queued, taken and done.
func BenchmarkDelivery(b *testing.B) {
	benchPlaces(b, func(b *testing.B, k benched) {
		ctx, rev, n := b.Context(), "", uint64(0)
		for b.Loop() {
			n++
			next, _, err := k.Commit(ctx, "pump house", rev, "", kitchen.Change{Outbox: []kitchen.Entry{entry("7/slip", "C1", n)}})
			if err != nil {
				b.Fatal(err)
			}
			rev = next
			p, _, err := k.Take(ctx, "me", time.Minute)
			if err != nil || p == nil {
				b.Fatalf("parcel %v, error %v", p, err)
			}
			if err := k.Done(ctx, p, kitchen.Delivery{Sent: []kitchen.Sent{sent("7/slip", n)}}); err != nil {
				b.Fatal(err)
			}
		}
		perFloor(b, k.floor)
	})
}

// BenchmarkCommits is many callers, each with a kitchen of its own.
func BenchmarkCommits(b *testing.B) {
	benchPlaces(b, func(b *testing.B, k benched) {
		b.SetParallelism(25)
		b.RunParallel(func(pb *testing.PB) {
			id, rev := tail(), ""
			for n := 0; pb.Next(); n++ {
				next, _, err := k.Commit(b.Context(), id, rev, fmt.Sprint("r", n), oneTap(n))
				if err != nil {
					b.Error(err)
					return
				}
				rev = next
			}
		})
	})
}
