package ledger

import (
	"log/slog"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestCheckRedisSaysHowItStandsAndWritesNothing(t *testing.T) {
	t.Parallel()
	s := startRedis(t, "--maxmemory-policy", "allkeys-lru", "--appendfsync", "everysec")
	cfg := RedisConfig{URL: s.url(), Log: slog.New(slog.DiscardHandler)}
	got, err := CheckRedis(t.Context(), cfg)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Servers) != 1 || got.Servers[0].Version == "" {
		t.Fatalf("it found %+v", got)
	}
	want := Server{Version: got.Servers[0].Version, Keeps: true, Syncs: "everysec", Evicts: "allkeys-lru"}
	if diff := cmp.Diff(want, got.Servers[0]); diff != "" {
		t.Errorf("the server (-want +got):\n%s", diff)
	}
	if got.Partitions != 0 || got.Programs != 0 {
		t.Errorf("nobody has used it, but it says %+v", got)
	}

	ours := dial(t, cfg)
	if keys, err := ours.client.Keys(t.Context(), "*").Result(); err != nil || len(keys) != 1 {
		t.Errorf("beside the layout it holds %q, %v", keys, err)
	}
	if got, err = CheckRedis(t.Context(), cfg); err != nil || got.Partitions != 1 || got.Programs != 1 {
		t.Errorf("one program uses it, but it says %+v, %v", got, err)
	}
}

func TestNoComplaintAboutAnAddressShowsItsPassword(t *testing.T) {
	t.Parallel()
	for _, address := range []string{"redis://:sesame/x@y:z", "redis://:sesame@host:port/0", "http://:sesame@host"} {
		for _, cluster := range []bool{false, true} {
			_, err := CheckRedis(t.Context(), RedisConfig{URL: address, Cluster: cluster})
			if err == nil || strings.Contains(err.Error(), "sesame") {
				t.Errorf("%s: error %v", address, err)
			}
		}
	}
}
