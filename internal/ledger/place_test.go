package ledger

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	"github.com/redis/go-redis/v9"
	bolt "go.etcd.io/bbolt"

	"ventbell/internal/kitchen"
)

// keeper is what both keepers offer.
type keeper interface {
	Load(ctx context.Context, id, request string) (kitchen.State, error)
	Commit(ctx context.Context, id, rev, request string, ch kitchen.Change) (string, []byte, error)
	Peek(ctx context.Context, id string) (kitchen.State, error)
	Due(ctx context.Context, skip, limit int) ([]kitchen.DueKitchen, time.Time, error)
	Take(ctx context.Context, holder string, lease time.Duration) (*kitchen.Parcel, time.Time, error)
	Done(ctx context.Context, p *kitchen.Parcel, d kitchen.Delivery) error
	Record(ctx context.Context, id string, batch uint32) ([]byte, error)
	Day(ctx context.Context, id, day string) ([]uint32, error)
	Lines(ctx context.Context, day time.Time, limit int) ([]kitchen.Line, error)
	Moments() <-chan struct{}
	Outgoing() <-chan struct{}
	Ping(ctx context.Context) error
	Close() error
}

// place is an empty ledger under test, with a way around it to what it stores.
type place interface {
	keeper() keeper
	// dump gives all that is stored.
	dump(t *testing.T) map[string]string
	// snapshot copies what is stored; the function it gives puts the copy back.
	snapshot(t *testing.T) (restore func())
	// putVersion changes the version of a kitchen's record.
	putVersion(t *testing.T, id string, v int)
	// putItem changes an item in the outbox, or among what was sent.
	putItem(t *testing.T, in, id, key string, data []byte)
	// seen gives how operations ended, as the observer was told.
	seen() []string
}

// seen remembers what an observer is told.
type seen struct {
	mu  sync.Mutex
	ops []string
}

func (s *seen) Operation(name, outcome string, took time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if took < 0 {
		outcome = "a negative time"
	}
	s.ops = append(s.ops, name+" "+outcome)
}

func (s *seen) list() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.ops)
}

// filePlace is a ledger in a file.
type filePlace struct {
	f    *File
	path string
	told seen
}

func newFilePlace(t *testing.T) *filePlace {
	t.Helper()
	p := &filePlace{path: filepath.Join(t.TempDir(), "ledger")}
	p.open(t)
	t.Cleanup(func() { closeLedger(t, p.f) })
	return p
}

func (p *filePlace) open(t *testing.T) {
	t.Helper()
	f, err := OpenFile(p.path, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	f.Observe(&p.told)
	p.f = f
}

func closeLedger(t testing.TB, k interface{ Close() error }) {
	t.Helper()
	if err := k.Close(); err != nil {
		t.Error(err)
	}
}

func (p *filePlace) keeper() keeper { return p.f }
func (p *filePlace) seen() []string { return p.told.list() }

func (p *filePlace) dump(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	var walk func(path string, b *bolt.Bucket) error
	walk = func(path string, b *bolt.Bucket) error {
		return b.ForEach(func(k, v []byte) error {
			if v == nil {
				return walk(fmt.Sprintf("%s/%q", path, k), b.Bucket(k))
			}
			all[fmt.Sprintf("%s/%q", path, k)] = string(v)
			return nil
		})
	}
	err := p.f.db.View(func(tx *bolt.Tx) error {
		return tx.ForEach(func(name []byte, b *bolt.Bucket) error { return walk(string(name), b) })
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func (p *filePlace) snapshot(t *testing.T) func() {
	t.Helper()
	copied := filepath.Join(t.TempDir(), "copy")
	if err := p.f.db.View(func(tx *bolt.Tx) error { return tx.CopyFile(copied, 0o600) }); err != nil {
		t.Fatal(err)
	}
	return func() {
		closeLedger(t, p.f)
		p.path = copied
		p.open(t)
	}
}

func (p *filePlace) putVersion(t *testing.T, id string, v int) {
	t.Helper()
	p.change(t, func(s *step) { s.put(inKitchens, member(id, "v"), []byte(strconv.Itoa(v))) })
}

func (p *filePlace) putItem(t *testing.T, in, id, key string, data []byte) {
	t.Helper()
	p.change(t, func(s *step) { s.put(in, member(id, key), data) })
}

func (p *filePlace) change(t *testing.T, do func(*step)) {
	t.Helper()
	if err := p.f.write(t.Context(), func(s *step) error { do(s); return nil }); err != nil {
		t.Fatal(err)
	}
}

// redisPlace is a ledger in a Redis of some kind.
type redisPlace struct {
	r    *Redis
	told seen
}

func newRedisPlace(t *testing.T, cfg RedisConfig) *redisPlace {
	t.Helper()
	p := &redisPlace{}
	cfg.Observe = &p.told
	cfg.Log = slog.New(slog.DiscardHandler)
	p.r = dial(t, cfg)
	return p
}

func dial(t testing.TB, cfg RedisConfig) *Redis {
	t.Helper()
	r, err := DialRedis(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { closeLedger(t, r) })
	return r
}

func (p *redisPlace) keeper() keeper { return p.r }
func (p *redisPlace) seen() []string { return p.told.list() }

func (p *redisPlace) dump(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	for key, value := range readAll(t, p.r.client) {
		text, err := json.Marshal(value)
		if err != nil {
			t.Fatal(err)
		}
		all[key] = string(text)
	}
	return all
}

func (p *redisPlace) snapshot(t *testing.T) func() {
	t.Helper()
	copied := readAll(t, p.r.client)
	return func() { writeAll(t, p.r.client, copied) }
}

func (p *redisPlace) putVersion(t *testing.T, id string, v int) {
	t.Helper()
	p.check(t, p.r.client.HSet(t.Context(), p.r.partOf(id).kitchen(id), "v", v).Err())
}

func (p *redisPlace) putItem(t *testing.T, in, id, key string, data []byte) {
	t.Helper()
	hash := p.r.partOf(id).outbox(id)
	if in == inSent {
		hash = p.r.partOf(id).sent(id)
	}
	p.check(t, p.r.client.HSet(t.Context(), hash, key, data).Err())
}

func (p *redisPlace) check(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// stored is the value of a key in Redis. Values are bytes, so that they
// survive as JSON.
type stored struct {
	Type    string      `json:"type"`
	Text    []byte      `json:"text,omitempty"`
	Pairs   [][2][]byte `json:"pairs,omitempty"` // fields of a hash, members of a set or a sorted set, entries of a stream
	Expires bool        `json:"expires,omitempty"`
}

// readAll reads every key that a Redis holds.
func readAll(t testing.TB, c redis.UniversalClient) map[string]stored {
	t.Helper()
	keys, err := c.Keys(t.Context(), "*").Result()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]stored{}
	for _, key := range keys {
		all[key] = readKey(t, c, key)
	}
	return all
}

func readKey(t testing.TB, c redis.UniversalClient, key string) stored {
	t.Helper()
	ctx := t.Context()
	s := stored{Type: c.Type(ctx, key).Val(), Expires: c.TTL(ctx, key).Val() > 0}
	add := func(a, b string) { s.Pairs = append(s.Pairs, [2][]byte{[]byte(a), []byte(b)}) }
	switch s.Type {
	case "string":
		s.Text = []byte(c.Get(ctx, key).Val())
	case "list": // the ledger has none; a test may
		for _, v := range c.LRange(ctx, key, 0, -1).Val() {
			add(v, "")
		}
	case "hash":
		fields := c.HGetAll(ctx, key).Val()
		for _, name := range slices.Sorted(maps.Keys(fields)) {
			add(name, fields[name])
		}
	case "set":
		members := c.SMembers(ctx, key).Val()
		slices.Sort(members)
		for _, m := range members {
			add(m, "")
		}
	case "zset":
		for _, z := range c.ZRangeWithScores(ctx, key, 0, -1).Val() {
			add(z.Member.(string), strconv.FormatFloat(z.Score, 'f', -1, 64))
		}
	case "stream":
		for _, m := range c.XRange(ctx, key, "-", "+").Val() {
			add(m.ID, m.Values["l"].(string))
		}
	default:
		t.Fatalf("key %q is a %s", key, s.Type)
	}
	return s
}

// writeAll has a Redis hold what readAll read, and nothing else.
func writeAll(t testing.TB, c redis.UniversalClient, all map[string]stored) {
	t.Helper()
	ctx := t.Context()
	keys, err := c.Keys(ctx, "*").Result()
	for _, key := range keys {
		c.Del(ctx, key)
	}
	for key, s := range all {
		if s.Type == "string" && err == nil {
			err = c.Set(ctx, key, s.Text, 0).Err()
		}
		for _, p := range s.Pairs {
			if err != nil {
				break
			}
			switch s.Type {
			case "list":
				err = c.RPush(ctx, key, p[0]).Err()
			case "hash":
				err = c.HSet(ctx, key, p[0], p[1]).Err()
			case "set":
				err = c.SAdd(ctx, key, p[0]).Err()
			case "zset":
				score, _ := strconv.ParseFloat(string(p[1]), 64)
				err = c.ZAdd(ctx, key, redis.Z{Score: score, Member: p[0]}).Err()
			case "stream":
				err = c.XAdd(ctx, &redis.XAddArgs{Stream: key, ID: string(p[0]), Values: []any{"l", p[1]}}).Err()
			}
		}
	}
	if err != nil {
		t.Fatal(err)
	}
}

// places runs a test over an empty ledger of every kind. Those in one server
// come one after the other.
func places(t *testing.T, tests []conformance) {
	t.Run("file", func(t *testing.T) {
		t.Parallel()
		for _, c := range tests {
			t.Run(c.name, func(t *testing.T) { c.test(t, newFilePlace(t)) })
		}
	})
	redisPlaces(t, tests)
}

// redisPlaces runs a test over every kind of Redis.
func redisPlaces(t *testing.T, tests []conformance) {
	t.Run("miniredis", func(t *testing.T) {
		t.Parallel()
		for _, c := range tests {
			t.Run(c.name, func(t *testing.T) {
				c.test(t, newRedisPlace(t, RedisConfig{URL: "redis://" + miniredis.RunT(t).Addr()}))
			})
		}
	})
	t.Run("redis", func(t *testing.T) {
		t.Parallel()
		inServer(t, tests, RedisConfig{URL: startRedis(t).url()})
	})
	t.Run("redis cluster", func(t *testing.T) {
		t.Parallel()
		inServer(t, tests, RedisConfig{URL: startCluster(t).url(), Cluster: true})
	})
}

func inServer(t *testing.T, tests []conformance, cfg RedisConfig) {
	client, err := newClient(cfg)
	if err != nil {
		t.Fatal(err)
	}
	defer closeLedger(t, client)
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) {
			writeAll(t, client, nil)
			c.test(t, newRedisPlace(t, cfg))
		})
	}
}

// startCluster runs a Redis Cluster of one node, which serves every slot but,
// like a larger one, no command on keys of several.
func startCluster(t *testing.T) *server {
	t.Helper()
	s := startRedis(t, "--cluster-enabled", "yes", "--cluster-port", freePort(t))
	client := s.client()
	defer closeLedger(t, client)
	if err := client.Do(t.Context(), "cluster", "addslotsrange", 0, 16383).Err(); err != nil {
		t.Fatal(err)
	}
	eventually(t, func() bool {
		_, err := client.Get(t.Context(), "nothing").Result()
		return errors.Is(err, redis.Nil)
	})
	return s
}

// conformance is one thing that every ledger does.
type conformance struct {
	name string
	test func(*testing.T, place)
}
