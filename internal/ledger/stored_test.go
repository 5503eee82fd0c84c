package ledger

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/alicebob/miniredis/v2"
	bolt "go.etcd.io/bbolt"
	"pgregory.net/rapid"

	"ventbell/internal/kitchen"
)

// writeFixtures has the fixtures of the present version written; those of an
// earlier one are never written again.
var writeFixtures = flag.Bool("fixtures", false, "write the fixtures of the present version")

func fixture(name string) string {
	return filepath.Join("testdata", strings.Replace(name, ".", fmt.Sprintf(".v%d.", version), 1))
}

func readFixture(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

var (
	storedE = kitchen.Entry{
		V: 1, Key: "7/vent", Lane: "C024BE91L", Kind: kitchen.VentCall, Batch: 7, Turn: 3, Rung: 1,
		Due: exact, Seq: 42, Urgent: true, Edit: true,
	}
	storedS = kitchen.Sent{
		V: 1, Key: "7/vent", Channel: "C024BE91L", TS: "1764000000.000100", At: exact, Seq: 42, Digest: "9f86d081",
	}
	storedL = kitchen.Line{
		V: 1, Kitchen: "pump house", Batch: 7, Event: "charged", By: kitchen.Person{ID: "U061F7AUR", Name: "bar-1"},
		Done: exact.Add(-40 * time.Second), Entered: exact, Request: "r1", Details: map[string]string{"charger": "2"},
	}
)

func TestRecordsOfEveryVersionAreRead(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		want any
		enc  func() ([]byte, error)
		dec  func([]byte) (any, error)
	}{
		{
			"entry.hex", storedE, func() ([]byte, error) { return encodeEntry(storedE) },
			func(b []byte) (any, error) { return decodeEntry(b) },
		},
		{
			"sent.hex", storedS, func() ([]byte, error) { return encodeSent(storedS) },
			func(b []byte) (any, error) { return decodeSent(b) },
		},
		{
			"line.hex", storedL, func() ([]byte, error) { return encodeLine(storedL) },
			func(b []byte) (any, error) { return decodeLine(b) },
		},
	} {
		now, err := c.enc()
		if err != nil {
			t.Fatal(err)
		}
		if *writeFixtures {
			writeFixture(t, c.name, []byte(hex.EncodeToString(now)+"\n"))
		}
		for v := 1; v <= version; v++ {
			name := strings.Replace(c.name, ".", fmt.Sprintf(".v%d.", v), 1)
			data, err := hex.DecodeString(strings.TrimSpace(string(readFixture(t, name))))
			if err != nil {
				t.Fatal(err)
			}
			got, err := c.dec(data)
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			same(t, c.want, got)
			if v == version && !bytes.Equal(now, data) {
				t.Errorf("%s: the stored form has changed without a new version:\n%x\n%x", name, data, now)
			}
		}
	}
}

func writeFixture(t *testing.T, name string, data []byte) {
	t.Helper()
	if err := os.WriteFile(fixture(name), data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// lived gives a ledger something of everything to keep.
func lived(t *testing.T, k keeper) {
	rev := commit(t, k, "pump house", "", "r1", kitchen.Change{
		Set: fields("h", "head", "b/7", "batch"), Due: exact, Answer: []byte("one"),
		Outbox: []kitchen.Entry{storedE, entry("7/heads-up", "@U061F7AUR", 41)}, Log: []kitchen.Line{storedL},
		Archive: []kitchen.Record{{Batch: 6, Day: "2025-11-24", Body: []byte("six")}},
	})
	first := taken(t, k)
	if first.Lane != storedE.Lane {
		first = taken(t, k)
	}
	done(t, k, first, kitchen.Delivery{Sent: []kitchen.Sent{storedS}, Again: exact.Add(time.Second)})
	commit(t, k, "pump house", rev, "", kitchen.Change{Set: fields("h", "head 2"), Due: exact, Outbox: []kitchen.Entry{storedE}})
}

// hasLived checks that all that lived wrote is there and can go on. Two hours
// have passed.
func hasLived(t *testing.T, k keeper) {
	t.Helper()
	s := load(t, k, "pump house", "r1")
	same(t, fields("h", "head 2", "b/7", "batch"), s.Fields)
	same(t, []byte("one"), s.Answer)
	same(t, map[string]kitchen.Sent{storedS.Key: storedS}, sentOf(t, k, "pump house"))
	same(t, []kitchen.DueKitchen{{Kitchen: "pump house", At: exact}}, due(t, k, 0, 10))
	body, err := k.Record(t.Context(), "pump house", 6)
	if err != nil {
		t.Fatal(err)
	}
	same(t, []byte("six"), body)
	batches, err := k.Day(t.Context(), "pump house", "2025-11-24")
	if err != nil {
		t.Fatal(err)
	}
	same(t, []uint32{6}, batches)
	lines, err := k.Lines(t.Context(), exact, 10)
	if err != nil {
		t.Fatal(err)
	}
	same(t, []kitchen.Line{storedL}, lines)
	var entries []kitchen.Entry
	for range 2 {
		entries = append(entries, taken(t, k).Entries...)
	}
	slices.SortFunc(entries, func(a, b kitchen.Entry) int { return int(a.Seq) - int(b.Seq) })
	same(t, []kitchen.Entry{entry("7/heads-up", "@U061F7AUR", 41), storedE}, entries)
	commit(t, k, "pump house", s.Rev, "r2", kitchen.Change{Set: fields("h", "head 3")})
}

func TestFilesOfEveryVersionAreRead(t *testing.T) {
	t.Parallel()
	path := ledgerPath(t)
	if *writeFixtures {
		f, err := OpenFile(path, func() time.Time { return exact })
		if err != nil {
			t.Fatal(err)
		}
		lived(t, f)
		closeLedger(t, f)
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		var packed bytes.Buffer
		z, _ := gzip.NewWriterLevel(&packed, gzip.BestCompression)
		if _, err := z.Write(data); err != nil || z.Close() != nil {
			t.Fatal(err)
		}
		writeFixture(t, "file.gz", packed.Bytes())
	}
	for v := 1; v <= version; v++ {
		z, err := gzip.NewReader(bytes.NewReader(readFixture(t, fmt.Sprintf("file.v%d.gz", v))))
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(z)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
		hasLived(t, openFile(t, path, func() time.Time { return exact.Add(2 * time.Hour) }))
	}
}

func TestRedisesOfEveryVersionAreRead(t *testing.T) {
	t.Parallel()
	open := func() (*miniredis.Miniredis, *Redis) {
		m := miniredis.RunT(t)
		m.SetTime(exact)
		return m, dial(t, RedisConfig{URL: "redis://" + m.Addr()})
	}
	if *writeFixtures {
		_, r := open()
		lived(t, r)
		data, err := json.MarshalIndent(readAll(t, r.client), "", "\t")
		if err != nil {
			t.Fatal(err)
		}
		writeFixture(t, "redis.json", append(data, '\n'))
	}
	for v := 1; v <= version; v++ {
		var all map[string]stored
		if err := json.Unmarshal(readFixture(t, fmt.Sprintf("redis.v%d.json", v)), &all); err != nil {
			t.Fatal(err)
		}
		m, r := open()
		writeAll(t, r.client, all)
		m.SetTime(exact.Add(2 * time.Hour))
		hasLived(t, dial(t, RedisConfig{URL: "redis://" + m.Addr()}))
	}
}

// reopenUnchecked opens a file whose layout is refused.
func reopenUnchecked(t *testing.T, path string) *File {
	t.Helper()
	db, err := bolt.Open(path, 0o600, &bolt.Options{Timeout: openWait})
	if err != nil {
		t.Fatal(err)
	}
	return &File{wakes: newWakes(), db: db, now: time.Now}
}

func TestVersionStandsFirstAndTimesAreWhole(t *testing.T) {
	t.Parallel()
	entry, err1 := encodeEntry(storedE)
	sent, err2 := encodeSent(storedS)
	line, err3 := encodeLine(storedL)
	if err := errors.Join(err1, err2, err3); err != nil {
		t.Fatal(err)
	}
	// RFC 8949: a map (major type 5), the text "v" (0x61 0x76), the number 1
	// (section 3.1); a number of eight bytes begins with 0x1b (appendix B).
	micros := binary.BigEndian.AppendUint64([]byte{0x1b}, 1764000000123456)
	for name, data := range map[string][]byte{"entry": entry, "sent": sent, "line": line} {
		body := data
		if name != "line" {
			i, err := parseItem(data)
			if err != nil {
				t.Fatal(err)
			}
			body = i.body
		}
		if body[0]>>5 != 5 || !bytes.Equal(body[1:4], []byte{0x61, 0x76, 0x01}) {
			t.Errorf("%s begins with %x", name, body[:4])
		}
		if !bytes.Contains(body, micros) {
			t.Errorf("%s has no time in whole microseconds: %x", name, body)
		}
	}
}

func TestNewerRecordIsRefusedWhateverItHolds(t *testing.T) {
	t.Parallel()
	body := func(v int) []byte {
		data, err := encoding.Marshal(struct {
			V    int      `cbor:"v"`
			Key  []string `cbor:"k"`
			Done string   `cbor:"d"`
		}{v, []string{"another type"}, "yesterday"})
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	if _, err := decodeLine(body(version + 1)); !errors.Is(err, kitchen.ErrNewer) {
		t.Errorf("newer line: error %v", err)
	}
	if _, err := decodeEntry(item{v: version, body: body(version + 1)}.bytes()); !errors.Is(err, kitchen.ErrNewer) {
		t.Errorf("newer entry: error %v", err)
	}
	for _, bad := range [][]byte{nil, {0xff}, body(0), body(version), {0xa0}} {
		if _, err := decodeLine(bad); err == nil || errors.Is(err, kitchen.ErrNewer) {
			t.Errorf("line %x: error %v", bad, err)
		}
	}
	for _, bad := range []string{"", "1", "1 2 3", "1 2 -1 x", "1 2 9 x", "x 2 0 x", "1 x 0 x", "1 2 x x"} {
		if _, err := decodeSent([]byte(bad)); !errors.Is(err, errNoItem) {
			t.Errorf("item %q: error %v", bad, err)
		}
	}
}

// anyTime is a moment in whole microseconds; none at times.
func anyTime() *rapid.Generator[time.Time] {
	return rapid.Map(rapid.Int64Range(0, 4e15), moment)
}

func anyText() *rapid.Generator[string] {
	return rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, 12), func(b []byte) string { return string(b) })
}

func TestWhatIsStoredComesBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text, at, seq := anyText(), anyTime(), rapid.Uint64()
		e := kitchen.Entry{
			V: 1, Key: text.Draw(t, "key"), Lane: text.Draw(t, "lane"), Kind: kitchen.EntryKind(text.Draw(t, "kind")),
			Batch: rapid.Uint32().Draw(t, "batch"), Turn: rapid.Uint16().Draw(t, "turn"), Rung: rapid.Uint8().Draw(t, "rung"),
			Due: at.Draw(t, "due"), Seq: seq.Draw(t, "seq"), Urgent: rapid.Bool().Draw(t, "urgent"), Edit: rapid.Bool().Draw(t, "edit"),
		}
		data, err := encodeEntry(e)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := decodeEntry(data); err != nil || got != e {
			t.Fatalf("got %+v, error %v, want %+v", got, err, e)
		}
		i, err := parseItem(data)
		if err != nil || i.v != 1 || i.seq != e.Seq || i.lane != e.Lane {
			t.Fatalf("item %+v, error %v", i, err)
		}
		s := kitchen.Sent{
			V: 1, Key: text.Draw(t, "key"), Channel: text.Draw(t, "channel"), TS: text.Draw(t, "ts"),
			At: at.Draw(t, "at"), Seq: seq.Draw(t, "seq"), Digest: text.Draw(t, "digest"),
			Edited: at.Draw(t, "edited"), Mark: text.Draw(t, "mark"),
		}
		if data, err = encodeSent(s); err != nil {
			t.Fatal(err)
		}
		if got, err := decodeSent(data); err != nil || got != s {
			t.Fatalf("got %+v, error %v, want %+v", got, err, s)
		}
		a, b := text.Draw(t, "a"), text.Draw(t, "b")
		if a2, b2, ok := splitMember(member(a, b)); !ok || a2 != a || b2 != b {
			t.Fatalf("member of %q and %q gives %q and %q", a, b, a2, b2)
		}
	})
}

func TestParcelHoldsTheEarliestAndEveryUrgentEntry(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 200).Draw(t, "entries")
		var entries []kitchen.Entry
		for seq := range n {
			entries = append(entries, kitchen.Entry{
				Seq: uint64(seq), Batch: rapid.Uint32Range(0, 9).Draw(t, "batch"), Urgent: rapid.IntRange(0, 19).Draw(t, "urgent") == 0,
			})
		}
		shuffled := rapid.Permutation(entries).Draw(t, "order")
		picked := map[uint64]bool{}
		last, urgent := -1, 0
		got := parcel(shuffled)
		for _, e := range got {
			if int(e.Seq) <= last {
				t.Fatalf("out of order at %d", e.Seq)
			}
			last, picked[e.Seq] = int(e.Seq), true
		}
		for _, e := range entries {
			if !e.Urgent {
				continue
			}
			urgent++
			for _, older := range entries[:e.Seq+1] {
				if older.Batch == e.Batch && !picked[older.Seq] {
					t.Fatalf("urgent %d came without %d of its batch", e.Seq, older.Seq)
				}
			}
		}
		if len(got) < min(n, parcelSize) || urgent == 0 && len(got) > parcelSize {
			t.Fatalf("%d of %d entries, %d urgent", len(got), n, urgent)
		}
	})
}

func TestTimeNeverGoesBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var s steady
		var last time.Time
		clock := exact
		for range 20 {
			clock = clock.Add(time.Duration(rapid.Int64Range(-1e6, 1e6).Draw(t, "step")) * time.Microsecond)
			now := s.read(clock)
			if now.Before(last) {
				t.Fatalf("%v after %v", now, last)
			}
			if !clock.Before(last) && !now.Equal(clock) {
				t.Fatalf("%v where the clock shows %v", now, clock)
			}
			if !clock.Add(s.lead()).Equal(now) {
				t.Fatalf("a lead of %v, not %v", s.lead(), now.Sub(clock))
			}
			last = now
		}
	})
}
