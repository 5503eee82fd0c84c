package app

import (
	"context"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"ventbell/internal/ledger"
)

const (
	// oldestRedis keeps the commands that we use: streams, and scripts that
	// ask for the time and then write (5.0, redis.io's release notes).
	oldestRedis = 5
	triedRedis  = 7 // the oldest that the tests run on
)

// checkLedger looks whether the ledger keeps what it is given.
func checkLedger(ctx context.Context, o Options) []finding {
	if path, ok := strings.CutPrefix(o.Ledger, "file:"); ok {
		return checkFile(path)
	}
	got, err := ledger.CheckRedis(ctx, ledger.RedisConfig{
		URL: o.Ledger, Cluster: o.Partitions > 1, Log: slog.New(slog.DiscardHandler),
	})
	if err != nil {
		return []finding{{
			blocks, "redis", "", err.Error(), "Start it, and see that VENTBELL_LEDGER and the password file fit",
		}}
	}
	var found []finding
	for _, s := range got.Servers {
		found = append(found, serverFindings(s)...)
	}
	if got.Partitions != 0 && got.Partitions != o.Partitions {
		found = append(found, finding{
			blocks, "redis", "", fmt.Sprintf("it is set up for %d partitions", got.Partitions),
			fmt.Sprintf("Set VENTBELL_PARTITIONS=%d, or use another Redis", got.Partitions),
		})
	}
	if got.Programs > 0 {
		found = append(found, finding{
			note, "redis", "", fmt.Sprintf("%d ventbell on it now, and this one is replica %d", got.Programs, o.Replica),
			"Each needs a VENTBELL_REPLICA of its own",
		})
	}
	return found
}

func serverFindings(s ledger.Server) []finding {
	var found []finding
	add := func(w weight, said, cure string) { found = append(found, finding{w, "redis", "", said, cure}) }
	major, _ := strconv.Atoi(strings.Split(s.Version, ".")[0])
	switch {
	case s.Version == "":
		add(note, "it does not say its version", "")
	case major < oldestRedis:
		add(blocks, "version "+s.Version+" is too old", fmt.Sprintf("Use %d or later", triedRedis))
	case major < triedRedis:
		add(note, fmt.Sprintf("version %s; it is tried with %d and later", s.Version, triedRedis), "")
	}
	if s.Replica {
		add(blocks, "it is a replica and takes no writes", "Name its master in VENTBELL_LEDGER")
	}
	switch {
	case !s.Keeps:
		add(blocks, "it keeps nothing over a restart: appendonly is no",
			"Set `appendonly yes` and `appendfsync always` in its configuration")
	case s.KeepsBad:
		add(blocks, "its last write to its append-only file failed", "Look at its disk and its log")
	case s.Syncs == "everysec":
		add(note, "appendfsync is everysec: a power cut can lose about the last second", "`appendfsync always` loses nothing")
	case s.Syncs == "no":
		add(look, "appendfsync is no: a power cut can lose half a minute", "Set `appendfsync always`, or everysec")
	case s.Syncs == "":
		add(note, "it does not show appendfsync", "See that it is always or everysec")
	}
	switch {
	case s.Evicts == "" || s.Evicts == "noeviction":
	case strings.HasPrefix(s.Evicts, "volatile"):
		add(look, "maxmemory-policy is "+s.Evicts+": a full one forgets answers, and a line sent twice counts twice",
			"Set `maxmemory-policy noeviction`")
	default:
		add(blocks, "maxmemory-policy is "+s.Evicts+": a full one forgets whole kitchens", "Set `maxmemory-policy noeviction`")
	}
	return found
}

// checkFile looks whether a file ledger can stand where it is meant to.
func checkFile(path string) []finding {
	if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
		return []finding{{blocks, "ledger", path, "there is no such folder", "Make it, for the user that ventbell runs as"}}
	}
	return []finding{{note, "ledger", path, "a file serves one process; two replicas need Redis", ""}}
}
