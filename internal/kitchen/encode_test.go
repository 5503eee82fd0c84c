package kitchen_test

import (
	"encoding/hex"
	"encoding/json"
	"errors"
	"flag"
	"maps"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/fxamacker/cbor/v2"
	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
)

var fixtures = flag.Bool("fixtures", false, "write the fixture of a new version")

// The fixtures: what version 1 stored, and what it stored of pieces that are kept.
const (
	fixture        = "testdata/kitchen.v1.json"
	fixtureDrained = "testdata/kitchen.v1.drained.json"
	fixtureAsked   = "testdata/kitchen.v1.asked.json"
)

// busy is a kitchen with something in every field that is stored.
func busy(t *testing.T) *world {
	w := charged(t)
	w.say(larder, "charged A") // a doubt
	w.say(bar2, "start toasted barley whisky 400ml in B")
	w.say(bar2, "charged B")
	w.say(bar2, "charged B")
	w.pass(5 * time.Minute)
	w.say(bar2, "vented B 20s ago")
	w.say(bar2, "strained B 330ml")
	w.say(bar1, "start rosemary gin 200ml in D")
	return w
}

// What version 1 stored is read for ever.
func TestTheStoredFormOfVersionOneIsRead(t *testing.T) {
	t.Parallel()
	if *fixtures {
		writeFixture(t, fixture, busy(t).fields)
	}
	fields := readFixture(t, fixture)
	k, err := kitchen.Decode("main", fields)
	if err != nil {
		t.Fatal(err)
	}
	a, b := k.Batches[1], k.Batches[2]
	if a.Title != "rhubarb gin" || a.Phase != kitchen.Venting || a.Gas() != 3 || a.Owner != bar1 {
		t.Errorf("batch 1 reads as %+v", a)
	}
	if b.Phase != kitchen.Clearing || b.Yield.Millilitres() != 330 || b.Emptied.By != bar2 || b.Before == nil {
		t.Errorf("batch 2 reads as %+v", b)
	}
	if want := kitchen.At(six.Add(5*time.Minute + 20*time.Second)); b.Emptied.Done != want {
		t.Errorf("emptied at %v, want %v", b.Emptied.Done.Time(), want.Time())
	}
	if k.Vessels["B"].Title != "toasted barley whisky" {
		t.Errorf("vessels read as %+v", k.Vessels)
	}
}

// What was stored of pieces that are kept is read for ever, and what was stored
// before there were any is of liquids.
func TestTheStoredFormOfPiecesThatAreKeptIsRead(t *testing.T) {
	t.Parallel()
	if *fixtures {
		writeFixture(t, fixtureDrained, drained(t).fields)
	}
	k, err := kitchen.Decode("main", readFixture(t, fixtureDrained))
	if err != nil {
		t.Fatal(err)
	}
	b, f := k.Batches[2], k.Diary.Finished
	if !b.KeepsSolid() || !b.VentsSlowly() || b.AboutDrained == 0 || b.Drained.Grams() != 220 || b.Yield.Millilitres() != 180 {
		t.Errorf("the batch reads as %+v", b)
	}
	if len(f) != 1 || f[0].Product != book.SolidKept || f[0].Drained.Grams() != 210 || f[0].ABVHigh == 0 {
		t.Errorf("the diary reads as %+v", f)
	}
	if w := k.History.Weighed["gin-soaked melon"]; len(w) != 1 || w[0].Drained.Grams() != 210 || w[0].Out != 0 {
		t.Errorf("the weighings read as %+v", w)
	}
	old, err := kitchen.Decode("main", readFixture(t, fixture))
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range old.Batches {
		if b.KeepsSolid() || b.VentsSlowly() || b.Drained != 0 {
			t.Errorf("an older batch reads as %+v", b)
		}
	}
}

// What was stored of questions back is read for ever, and what was stored before
// there were any holds none.
func TestTheStoredFormOfQuestionsIsRead(t *testing.T) {
	t.Parallel()
	if *fixtures {
		w := newWorld(t)
		a, _ := w.asks(bar2, "start gin 200ml in D")
		w.tap(bar1, option(a, 0))
		w.asks(bar1, "start gin 400ml in A")
		w.say(larder, "start thyme oil 400ml in A")
		w.pass(30 * time.Second)
		writeFixture(t, fixtureAsked, w.fields)
	}
	k, err := kitchen.Decode("main", readFixture(t, fixtureAsked))
	if err != nil {
		t.Fatal(err)
	}
	over, open := k.Question(1), k.Question(2)
	if over == nil || over.End != kitchen.AskedAnswered || over.Ended.By != bar1 || over.Line != "start rhubarb gin 200ml in D" {
		t.Errorf("the answered one reads as %+v", over)
	}
	if open == nil || k.Holding("A") != open || !open.Reworded || open.By != bar1 || open.Lane != "C1" ||
		open.At != kitchen.At(six) || len(open.Told) != 1 || len(open.Answer.Question.Options) != 3 || open.Answer.Carry.Turn != 2 {
		t.Errorf("the open one reads as %+v", open)
	}
	old, err := kitchen.Decode("main", readFixture(t, fixture))
	if err != nil || len(old.Head.Asked) != 0 {
		t.Errorf("an older kitchen reads as %+v, %v", old, err)
	}
}

// later is a kitchen with what is kept beside the open batches: the history,
// the diary, a lane in trouble.
func later(t *testing.T) *world {
	w := newWorld(t)
	w.brew("345ml")
	w.say(bar1, "start ginger gin 400ml in B")
	w.pass(25 * time.Minute) // nobody charged it
	w.trouble("C1", "channel archived")
	return w
}

// all gives every field that is stored, of either kitchen.
func all(t *testing.T) map[string][]byte {
	fields := busy(t).fields
	for name, body := range later(t).fields {
		if fields[name] == nil || name == "h" {
			fields[name] = body
		}
	}
	return fields
}

// A record that says a newer version is refused, and the kitchen with it.
func TestANewerVersionIsRefused(t *testing.T) {
	t.Parallel()
	stored := all(t)
	for name := range stored {
		fields := maps.Clone(stored)
		var record map[string]any
		if err := cbor.Unmarshal(fields[name], &record); err != nil {
			t.Fatal(err)
		}
		record["v"] = 2
		body, err := cbor.Marshal(record)
		if err != nil {
			t.Fatal(err)
		}
		fields[name] = body
		if _, err := kitchen.Decode("main", fields); !errors.Is(err, kitchen.ErrNewer) {
			t.Errorf("field %s of version 2: error %v, want %v", name, err, kitchen.ErrNewer)
		}
	}
	if _, there := stored["t"]; !there {
		t.Error("no diary was stored")
	}
	if _, err := kitchen.Decode("main", map[string][]byte{"zz/1": {0xa0}}); !errors.Is(err, kitchen.ErrNewer) {
		t.Errorf("an unknown field: error %v, want %v", err, kitchen.ErrNewer)
	}
}

func TestDamagedFieldsAreRefused(t *testing.T) {
	t.Parallel()
	stored := all(t)
	for name := range stored {
		fields := maps.Clone(stored)
		fields[name] = fields[name][:len(fields[name])/2]
		if _, err := kitchen.Decode("main", fields); err == nil {
			t.Errorf("half of field %s was read", name)
		}
	}
}

func TestTapsReadBack(t *testing.T) {
	t.Parallel()
	for _, tap := range []kitchen.Tap{
		{Line: "charged A", Batch: 7, Turn: 2, N: 1},
		{Line: "no gas A", Batch: 4_000_000_000, Turn: 65535, With: "not-mine"},
		{Line: "start pepper tequila 500ml x2"},
	} {
		got, err := kitchen.ParseTap(tap.String())
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(tap, got); diff != "" {
			t.Errorf("tap (-want +got):\n%s", diff)
		}
	}
	for _, bad := range []string{"", "charged A", "1.2.3 x", "-1.2.3. x", "1.99999.3. x", "a.b.c. d"} {
		if tap, err := kitchen.ParseTap(bad); err == nil {
			t.Errorf("%q was read as %+v", bad, tap)
		}
	}
}

func TestABatchsRecordReadsBack(t *testing.T) {
	t.Parallel()
	b := busy(t).in("B")
	got, err := kitchen.DecodeBatch(kitchen.EncodeBatch(b))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(b, got); diff != "" {
		t.Errorf("record (-want +got):\n%s", diff)
	}
}

func writeFixture(t *testing.T, name string, fields map[string][]byte) {
	t.Helper()
	out := map[string]string{}
	for field, body := range fields {
		out[field] = hex.EncodeToString(body)
	}
	body, err := json.MarshalIndent(out, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.FromSlash(name), append(body, '\n'), 0o600); err != nil {
		t.Fatal(err)
	}
}

func readFixture(t *testing.T, name string) map[string][]byte {
	t.Helper()
	body, err := os.ReadFile(filepath.FromSlash(name))
	if err != nil {
		t.Fatal(err)
	}
	var in map[string]string
	if err := json.Unmarshal(body, &in); err != nil {
		t.Fatal(err)
	}
	fields := map[string][]byte{}
	for field, text := range in {
		if fields[field], err = hex.DecodeString(text); err != nil {
			t.Fatal(err)
		}
	}
	return fields
}
