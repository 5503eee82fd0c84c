package ledger

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"sync"

	"github.com/redis/go-redis/v9"
)

// Checkup is how a Redis stands, as values. Nothing is written for it.
type Checkup struct {
	Servers    []Server // one, or the masters of a Cluster
	Partitions int      // as the first program settled them; 0 = none has yet
	Programs   int      // how many of ours listen on it now
}

// Server is one Redis server. A string is empty where it does not say.
type Server struct {
	Version  string
	Replica  bool   // it takes no writes
	Keeps    bool   // it writes every change to its append-only file
	Syncs    string // when that reaches the disk: always, everysec, no
	Evicts   string // what it drops when its memory is full: noeviction, ...
	KeepsBad bool   // its last write to the append-only file failed
}

// CheckRedis looks at a Redis without writing to it.
func CheckRedis(ctx context.Context, cfg RedisConfig) (Checkup, error) {
	if cfg.Log != nil {
		redis.SetLogger(&thinned{log: cfg.Log}) // one for all clients of the process
	}
	client, err := newClient(cfg)
	if err != nil {
		return Checkup{}, fmt.Errorf("check redis: %w", err)
	}
	defer client.Close()
	c := Checkup{}
	if err := c.look(ctx, client); err != nil {
		return c, fmt.Errorf("check redis: %w", err)
	}
	return c, nil
}

func (c *Checkup) look(ctx context.Context, client redis.UniversalClient) error {
	var mu sync.Mutex // the masters of a Cluster are asked side by side
	ask := func(ctx context.Context, one *redis.Client) error {
		s, err := askServer(ctx, one)
		mu.Lock()
		defer mu.Unlock()
		c.Servers = append(c.Servers, s)
		return err
	}
	var err error
	switch client := client.(type) {
	case *redis.ClusterClient:
		err = client.ForEachMaster(ctx, ask)
	case *redis.Client:
		err = ask(ctx, client)
	}
	if err != nil {
		return err
	}
	kept, err := client.Get(ctx, metaKey).Result()
	if err != nil && !errors.Is(err, redis.Nil) {
		return fmt.Errorf("read layout: %w", err)
	}
	if err == nil {
		var l layout
		if err := json.Unmarshal([]byte(kept), &l); err != nil {
			return fmt.Errorf("read layout in %s: %w", metaKey, err)
		}
		c.Partitions = l.Partitions
	}
	// Every program listens on every partition's channel. A server that does
	// not say how many is no trouble.
	c.Programs = int(client.PubSubNumSub(ctx, part(0).channel()).Val()[part(0).channel()])
	return nil
}

func askServer(ctx context.Context, one *redis.Client) (Server, error) {
	said, err := one.Info(ctx).Result()
	if err != nil {
		return Server{}, fmt.Errorf("ask for its state: %w", err)
	}
	info := map[string]string{}
	for line := range strings.Lines(said) {
		if name, value, ok := strings.Cut(strings.TrimSpace(line), ":"); ok {
			info[name] = value
		}
	}
	return Server{
		Version: info["redis_version"], Replica: info["role"] == "slave", Evicts: info["maxmemory_policy"],
		Keeps: info["aof_enabled"] == "1", KeepsBad: info["aof_last_write_status"] == "err",
		// Hosted servers often refuse to show their settings.
		Syncs: one.ConfigGet(ctx, "appendfsync").Val()["appendfsync"],
	}, nil
}
