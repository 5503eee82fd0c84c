package ledger

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"

	"ventbell/internal/kitchen"
)

func TestRedisAlone(t *testing.T) {
	t.Parallel()
	redisPlaces(t, []conformance{
		{"a key of a wrong type writes nothing", wrongType},
		{"the script measures a change again", scriptMeasures},
		{"answers and logs end by themselves", expiries},
		{"another replica hears of a commit", heard},
		{"another layout is refused", otherLayout},
	})
}

// everything is a change that touches every key.
func everything() kitchen.Change {
	return kitchen.Change{
		Set: fields("head", "2"), Del: []string{"b1"}, Due: exact,
		Outbox: []kitchen.Entry{entry("7/slip", "C1", 1)}, Drop: []string{"7/vent"},
		Log: []kitchen.Line{{Kitchen: "a", Event: "charged"}}, Answer: []byte("one"),
		Archive: []kitchen.Record{{Batch: 7, Day: "2025-11-24", Body: []byte("seven")}}, Forget: []uint32{7},
	}
}

func wrongType(t *testing.T, p place) {
	r := p.keeper().(*Redis)
	ctx, part := t.Context(), r.partOf("a")
	now := load(t, r, "a", "").Now
	wrong := func(key string) map[string]stored {
		return map[string]stored{key: {Type: "list", Pairs: [][2][]byte{{[]byte("wrong")}}}}
	}
	keys := map[string]string{
		"kitchen": part.kitchen("a"), "answer": part.answer("a", "r1"), "due": part.due(), "lanes": part.lanes(),
		"outbox": part.outbox("a"), "sent": part.sent("a"), "log": part.log(dayOf(now)),
		"record": part.record("a", 7), "day": part.day("a", "2025-11-24"),
	}
	for name, key := range keys {
		t.Run(name, func(t *testing.T) {
			writeAll(t, r.client, wrong(key))
			before := p.dump(t)
			if _, _, err := r.Commit(ctx, "a", "", "r1", everything()); err == nil {
				t.Error("Commit: no error")
			}
			same(t, before, p.dump(t))
		})
	}
	for name, key := range map[string]string{
		"done, lanes": part.lanes(), "done, leases": part.leases(), "done, outbox": part.outbox("a"), "done, sent": part.sent("a"),
	} {
		t.Run(name, func(t *testing.T) {
			writeAll(t, r.client, wrong(key))
			before := p.dump(t)
			d := kitchen.Delivery{Sent: []kitchen.Sent{sent("7/slip", 1)}, Gone: []kitchen.Gone{{Key: "7/vent", Seq: 2}}}
			if err := r.Done(ctx, &kitchen.Parcel{Kitchen: "a", Lane: "C1", Token: "t"}, d); err == nil {
				t.Error("Done: no error")
			}
			same(t, before, p.dump(t))
		})
	}
	t.Run("take, leases", func(t *testing.T) {
		writeAll(t, r.client, nil)
		queue(t, r, "a", entry("7/slip", "C1", 1))
		r.client.LPush(ctx, part.leases(), "wrong")
		before := p.dump(t)
		if _, _, err := r.Take(ctx, "me", time.Minute); err == nil {
			t.Error("Take: no error")
		}
		same(t, before, p.dump(t))
	})
}

func scriptMeasures(t *testing.T, p place) {
	r := p.keeper().(*Redis)
	rev := commit(t, r, "a", "", "r1", everything())
	before := p.dump(t)
	for name, ch := range bigChanges() {
		packed, err := pack("a", "r2", ch)
		if !errors.Is(err, kitchen.ErrTooBig) {
			t.Fatalf("%s: pack: error %v", name, err)
		}
		if strings.Contains(err.Error(), "name of") {
			continue // names are measured by pack alone
		}
		if _, err := r.runCommit(t.Context(), "a", rev, nextRev(rev), "r2", packed); !errors.Is(err, kitchen.ErrTooBig) {
			t.Errorf("%s: script: error %v", name, err)
		}
	}
	same(t, before, p.dump(t))
}

func expiries(t *testing.T, p place) {
	r := p.keeper().(*Redis)
	commit(t, r, "a", "", "r1", everything())
	ctx, part := t.Context(), r.partOf("a")
	for key, want := range map[string]time.Duration{
		part.answer("a", "r1"): keepAnswer, part.log(dayOf(r.clock.guess())): KeepDefault,
		part.kitchen("a"): -1, part.outbox("a"): -1, part.due(): -1, part.lanes(): -1,
		part.record("a", 7): KeepDefault, part.day("a", "2025-11-24"): KeepDefault,
	} {
		got := r.client.TTL(ctx, key).Val()
		if want < 0 && got != want || want > 0 && (got > want || got < want-time.Minute) {
			t.Errorf("%s is kept for %v, want %v", key, got, want)
		}
	}
}

func heard(t *testing.T, p place) {
	r := p.keeper().(*Redis)
	other := dial(t, replicaOf(r))
	commit(t, r, "a", "", "", kitchen.Change{Due: exact})
	select {
	case <-other.Moments():
	case <-time.After(10 * time.Second):
		t.Fatal("the moment was not made known")
	}
	queue(t, r, "a", entry("7/slip", "C1", 1))
	select {
	case <-other.Outgoing():
	case <-time.After(10 * time.Second):
		t.Fatal("the entry was not made known")
	}
}

// replicaOf is the configuration of a further replica.
func replicaOf(r *Redis) RedisConfig {
	cfg := RedisConfig{Partitions: r.partitions, Log: slog.New(slog.DiscardHandler)}
	switch c := r.client.(type) {
	case *redis.Client:
		cfg.URL = "redis://" + c.Options().Addr
	case *redis.ClusterClient:
		cfg.URL, cfg.Cluster = "redis://"+c.Options().Addrs[0], true
	}
	return cfg
}

func otherLayout(t *testing.T, p place) {
	r := p.keeper().(*Redis)
	refused := func(name string, cfg RedisConfig, want error) {
		t.Helper()
		before := p.dump(t)
		if _, err := DialRedis(t.Context(), cfg); err == nil || want != nil && !errors.Is(err, want) {
			t.Errorf("%s: error %v", name, err)
		}
		same(t, before, p.dump(t))
	}
	cfg := replicaOf(r)
	other := cfg
	other.Partitions = 17 - r.partitions
	refused("other partitions", other, nil)
	other.Partitions = 2
	refused("two partitions", other, nil)
	p.(*redisPlace).check(t, r.client.Set(t.Context(), metaKey, fmt.Sprintf(`{"v":2,"partitions":%d}`, r.partitions), 0).Err())
	refused("newer layout", cfg, kitchen.ErrNewer)
	p.(*redisPlace).check(t, r.client.Set(t.Context(), metaKey, "nonsense", 0).Err())
	refused("nonsense", cfg, nil)
}

func TestDialRedisFailsWhereThereIsNone(t *testing.T) {
	t.Parallel()
	for _, url := range []string{"redis://127.0.0.1:" + freePort(t), "nonsense", ""} {
		if _, err := DialRedis(t.Context(), RedisConfig{URL: url, Log: slog.New(slog.DiscardHandler)}); err == nil {
			t.Errorf("%q: no error", url)
		}
	}
}

func TestKilledRedisKeepsEveryAcknowledgedCommit(t *testing.T) {
	t.Parallel()
	s := startRedis(t)
	r := dial(t, RedisConfig{URL: s.url(), Log: slog.New(slog.DiscardHandler)})
	const callers, each = 5, 20
	revs := make([][]string, callers)
	half := make(chan struct{}, callers)
	var all sync.WaitGroup
	for c := range callers {
		all.Go(func() {
			id, rev := fmt.Sprint(c), ""
			for n := range each {
				if n == each/2 {
					half <- struct{}{}
				}
				request := fmt.Sprint("r", n)
				eventually(t, func() bool {
					next, known, err := r.Commit(context.Background(), id, rev, request, kitchen.Change{
						Set: fields("f"+request, request), Due: exact.Add(time.Duration(n)), Answer: []byte(request),
						Outbox: []kitchen.Entry{entry(request, "C1", uint64(n))},
					})
					if known != nil { // it was written, but the reply was lost
						st, err := r.Load(context.Background(), id, "")
						next = st.Rev
						if err != nil {
							return false
						}
					}
					if err == nil {
						rev = next
						revs[c] = append(revs[c], next)
					}
					return err == nil
				})
			}
		})
	}
	<-half
	s.kill()
	s.start()
	all.Wait()
	for c := range callers {
		id := fmt.Sprint(c)
		st := load(t, r, id, "")
		if len(revs[c]) != each || len(st.Fields) != each || st.Rev != revs[c][each-1] {
			t.Errorf("kitchen %s has %d fields and revision %s after %v", id, len(st.Fields), st.Rev, revs[c])
		}
		for n := range each {
			request := fmt.Sprint("r", n)
			same(t, request, string(load(t, r, id, request).Answer))
		}
		same(t, each, len(taken(t, r).Entries))
	}
	same(t, callers, len(due(t, r, 0, 100)))
}

func TestCloseDoesNotNeedRedis(t *testing.T) {
	t.Parallel()
	s := startRedis(t)
	r, err := DialRedis(t.Context(), RedisConfig{URL: s.url(), Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	s.kill()
	if err := r.Ping(t.Context()); err == nil {
		t.Error("Ping: no error")
	}
	if err := r.Close(); err != nil {
		t.Errorf("Close: %v", err)
	}
	if err := r.Close(); err != nil {
		t.Errorf("Close again: %v", err)
	}
}

func TestRedisTimeDoesNotGoBack(t *testing.T) {
	t.Parallel()
	m := miniredis.RunT(t)
	m.SetTime(exact)
	r := dial(t, RedisConfig{URL: "redis://" + m.Addr()})
	queue(t, r, "a", entry("7/slip", "C1", 1))
	parcel := takenFor(t, r, time.Second)
	same(t, exact, parcel.Now)
	m.SetTime(exact.Add(-time.Hour))
	now := load(t, r, "a", "").Now
	if now.Before(exact) || now.After(exact.Add(time.Minute)) {
		t.Errorf("an hour's step back gives %v after %v", now, exact)
	}
	// The lanes go by the same time: the lease ends when it should.
	m.SetTime(exact.Add(-time.Hour + 2*time.Second))
	same(t, "C1", taken(t, r).Lane)
	m.SetTime(exact.Add(time.Hour))
	same(t, exact.Add(time.Hour), load(t, r, "a", "").Now)
}

func TestAgainTriesWhatPasses(t *testing.T) {
	t.Parallel()
	refused := &net.OpError{Op: "dial", Err: errors.New("connection refused")}
	passes := map[error]bool{
		io.EOF: true, refused: true, fmt.Errorf("read: %w", io.ErrUnexpectedEOF): true,
		redisError("LOADING Redis is loading the dataset in memory"):        true,
		redisError("READONLY You can't write against a read only replica."): true,
		&net.OpError{Op: "read", Err: os.ErrDeadlineExceeded}:               false,
		context.Canceled: false, kitchen.ErrStale: false, redis.Nil: false,
		redisError("WRONGTYPE Operation against a key holding the wrong kind of value"): false,
	}
	for err, want := range passes {
		synctest.Test(t, func(t *testing.T) {
			tries := 0
			repeated, got := again(t.Context(), func() error { tries++; return err })
			if !errors.Is(got, err) || repeated != want || (tries == redisTries) != want {
				t.Errorf("%v: %d tries, repeated %v, error %v", err, tries, repeated, got)
			}
		})
	}
	synctest.Test(t, func(t *testing.T) {
		tries := 0
		repeated, err := again(t.Context(), func() error {
			if tries++; tries < 3 {
				return io.EOF
			}
			return nil
		})
		if err != nil || tries != 3 || !repeated {
			t.Errorf("%d tries, repeated %v, error %v", tries, repeated, err)
		}
	})
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithTimeout(t.Context(), firstPause/4)
		defer cancel()
		tries := 0
		if _, err := again(ctx, func() error { tries++; return io.EOF }); !errors.Is(err, io.EOF) || tries != 1 {
			t.Errorf("out of time: %d tries, error %v", tries, err)
		}
	})
}

// redisError is an error that Redis answers with.
type redisError string

func (e redisError) Error() string { return string(e) }
func (redisError) RedisError()     {}

func TestClientLibraryIsThinnedOut(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		var out bytes.Buffer
		l := &thinned{log: slog.New(slog.NewTextHandler(&out, nil))}
		for range 100 {
			l.Printf(t.Context(), "failed to dial %s", "there")
		}
		time.Sleep(10 * time.Second)
		l.Printf(t.Context(), "failed to dial %s", "here")
		lines := strings.Split(strings.TrimSpace(out.String()), "\n")
		if len(lines) != 2 || !strings.Contains(lines[0], "there") || !strings.Contains(lines[1], "held=99") {
			t.Errorf("printed %q", lines)
		}
	})
}

func TestPartitionIsTheChecksumOfTheID(t *testing.T) {
	t.Parallel()
	// The check value of CRC-32 as in IEEE 802.3, zip and PNG is 0xCBF43926
	// (catalogue of parametrised CRC algorithms; the value is from memory).
	r := &Redis{partitions: 16}
	if got := r.partOf("123456789"); got != 0xCBF43926%16 {
		t.Errorf("partition %d", got)
	}
	r.partitions = 1
	if got := r.partOf("123456789"); got != 0 {
		t.Errorf("partition %d of one", got)
	}
}
