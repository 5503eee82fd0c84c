package runner

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

func TestUrgentEntriesGoFirstAndLiftTheirBatch(t *testing.T) {
	t.Parallel()
	tests := []struct{ name, entries, want string }{
		{"nothing", "", ""},
		{"by Seq", "1a 2b 3a", "1a 2b 3a"},
		{"an urgent one first", "1a 2b 3c!", "3c! 1a 2b"},
		{"with the older ones of its batch", "1a 2b 3c 4b 5b! 6b", "2b 4b 5b! 1a 3c 6b"},
		{"two batches, by Seq", "1a 2b 3b! 4a! 5c", "1a 2b 3b! 4a! 5c"},
		{"up to a batch's last urgent one", "1a! 2b 3a 4a! 5a", "1a! 3a 4a! 2b 5a"},
		{"what belongs to no batch is not lifted", "1- 2a 3-!", "3-! 1- 2a"},
		{"neither a fallback nor a history is lifted", "1af 2ah 3a 4a!", "3a 4a! 1af 2ah"},
		{"histories last", "1ah 2b 3c", "2b 3c 1ah"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			var entries []kitchen.Entry
			for f := range strings.FieldsSeq(tt.entries) {
				e := kitchen.Entry{Seq: uint64(f[0] - '0'), Urgent: strings.HasSuffix(f, "!"), Key: f}
				if f[1] != '-' {
					e.Batch = uint32(f[1])
				}
				switch f[len(f)-1] {
				case 'f':
					e.Kind = kitchen.FallbackCall
				case 'h':
					e.Kind = kitchen.HistoryNote
				}
				entries = append(entries, e)
			}
			var got []string
			for _, q := range inOrder(entries) {
				got = append(got, q.Key)
			}
			if s := strings.Join(got, " "); s != tt.want {
				t.Errorf("order of %q is %q, want %q", tt.entries, s, tt.want)
			}
		})
	}
}

func TestAnyOrderKeepsEachBatchUpToItsLastUrgentEntry(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 12).Draw(t, "n")
		entries := make([]kitchen.Entry, n)
		for i := range entries {
			entries[i] = kitchen.Entry{
				Seq: uint64(i + 1), Key: fmt.Sprint(i),
				Batch:  rapid.Uint32Range(0, 3).Draw(t, "batch"),
				Urgent: rapid.IntRange(0, 3).Draw(t, "urgent") == 0,
			}
		}
		got := inOrder(entries)
		place := map[string]int{}
		for i, q := range got {
			place[q.Key] = i
		}
		if len(got) != n || len(place) != n {
			t.Fatalf("%d entries became %d, %d of them different", n, len(got), len(place))
		}
		for _, a := range entries {
			for _, b := range entries {
				sooner := place[a.Key] < place[b.Key]
				switch {
				case a.Urgent && !b.Urgent && !lifted(entries, b) && !sooner:
					t.Fatalf("entry %v after %v, which isn't urgent", a, b)
				case a.Urgent == b.Urgent && a.Batch == b.Batch && a.Seq < b.Seq && !sooner:
					t.Fatalf("entries %v and %v of one batch have changed places", a, b)
				case a.Batch == b.Batch && a.Batch != 0 && b.Urgent && a.Seq < b.Seq && !sooner:
					t.Fatalf("entry %v after the urgent %v of its own batch", a, b)
				}
			}
		}
		if !slices.IsSortedFunc(got, func(a, b queued) int {
			if a.first != b.first {
				return 0
			}
			return cmp.Compare(a.Seq, b.Seq)
		}) {
			t.Fatalf("not by Seq within a class: %v", got)
		}
	})
}

// lifted says that b stands before an urgent entry of its own batch.
func lifted(entries []kitchen.Entry, b kitchen.Entry) bool {
	return b.Batch != 0 && slices.ContainsFunc(entries, func(u kitchen.Entry) bool {
		return u.Urgent && u.Batch == b.Batch && u.Seq > b.Seq
	})
}
