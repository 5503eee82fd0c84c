package ledger

import (
	"testing"
	"testing/synctest"
	"time"

	"github.com/alicebob/miniredis/v2"

	"ventbell/internal/kitchen"
)

// A house that keeps two months keeps its log and its records for two months: the
// day that is past is gone, with the records of its batches, and no other.
func TestFileDropsRecordsWithTheLog(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		const keep = 60 * 24 * time.Hour
		f := openFile(t, ledgerPath(t), time.Now)
		f.KeepFor(keep)
		write := func(id string, batch uint32) string {
			day := dayOf(time.Now())
			commit(t, f, id, load(t, f, id, "").Rev, "", kitchen.Change{
				Log:     []kitchen.Line{{Kitchen: id, Event: "shelved"}},
				Archive: []kitchen.Record{{Batch: batch, Day: day, Body: []byte("body")}},
			})
			return day
		}
		there := func(id, day string, batch uint32) bool {
			body, err := f.Record(t.Context(), id, batch)
			if err != nil {
				t.Fatal(err)
			}
			batches, err := f.Day(t.Context(), id, day)
			if err != nil {
				t.Fatal(err)
			}
			if (body != nil) != (len(batches) > 0) {
				t.Fatalf("batch %d of %s: record %q, on its day %v", batch, id, body, batches)
			}
			return body != nil
		}
		first := write("a", 1)
		write("b", 11)
		time.Sleep(24 * time.Hour)
		second := write("a", 2)
		time.Sleep(keep - 24*time.Hour)
		write("a", 3)
		same(t, []bool{true, true, true}, []bool{there("a", first, 1), there("b", first, 11), there("a", second, 2)})
		time.Sleep(24 * time.Hour)
		write("a", 4)
		same(t, []bool{false, false, true}, []bool{there("a", first, 1), there("b", first, 11), there("a", second, 2)})
	})
}

// What a house set is what Redis is told for each key.
func TestRedisKeepsAsLongAsTheHouseSet(t *testing.T) {
	t.Parallel()
	r := dial(t, RedisConfig{URL: "redis://" + miniredis.RunT(t).Addr(), Keep: 60 * 24 * time.Hour})
	commit(t, r, "a", "", "r1", everything())
	part := r.partOf("a")
	for _, key := range []string{part.log(dayOf(r.clock.guess())), part.record("a", 7), part.day("a", "2025-11-24")} {
		if got := r.client.TTL(t.Context(), key).Val(); got != 60*24*time.Hour {
			t.Errorf("%s is kept for %v", key, got)
		}
	}
}
