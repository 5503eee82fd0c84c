package ledger

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
)

// exact is a moment that does not survive a number of 14 digits.
var exact = time.UnixMicro(1764000000123456).UTC()

func fields(pairs ...string) map[string][]byte {
	m := map[string][]byte{}
	for i := 0; i < len(pairs); i += 2 {
		m[pairs[i]] = []byte(pairs[i+1])
	}
	return m
}

func entry(key, lane string, seq uint64) kitchen.Entry {
	return kitchen.Entry{V: 1, Key: key, Lane: lane, Kind: kitchen.Slip, Batch: 7, Due: exact, Seq: seq}
}

func sent(key string, seq uint64) kitchen.Sent {
	return kitchen.Sent{V: 1, Key: key, Channel: "C1", TS: "1764000000.000100", At: exact, Seq: seq, Digest: "d"}
}

// commit writes a change that must be taken.
func commit(t *testing.T, k keeper, id, rev, request string, ch kitchen.Change) string {
	t.Helper()
	next, known, err := k.Commit(t.Context(), id, rev, request, ch)
	if err != nil || known != nil {
		t.Fatalf("Commit(%q, %q): known %q, error %v", id, request, known, err)
	}
	return next
}

// fails asks for a commit that must give an error and write nothing.
func fails(t *testing.T, p place, id, rev, request string, ch kitchen.Change, want error) {
	t.Helper()
	before := p.dump(t)
	_, _, err := p.keeper().Commit(t.Context(), id, rev, request, ch)
	if err == nil || !errors.Is(err, want) {
		t.Errorf("Commit: error %v, want %v", err, want)
	}
	same(t, before, p.dump(t))
}

func same(t *testing.T, want, got any) {
	t.Helper()
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("differs (-want +got):\n%s", diff)
	}
}

func load(t *testing.T, k keeper, id, request string) kitchen.State {
	t.Helper()
	s, err := k.Load(t.Context(), id, request)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestConformance(t *testing.T) {
	t.Parallel()
	places(t, append(append([]conformance{
		{"a kitchen never heard of is empty", emptyKitchen},
		{"what was committed comes back", comesBack},
		{"a repeated request gives the stored answer and changes nothing", repeated},
		{"a request without an answer is known all the same", knownWithoutAnswer},
		{"a request is known in its own kitchen only", ownRequest},
		{"no request keeps no answer", noRequest},
		{"an overtaken revision is stale", stale},
		{"a known request comes before a stale revision and a change too big", knownFirst},
		{"a change too big writes nothing", tooBig},
		{"a change just within the limits is written", justFits},
		{"a history that was rewound is seen", rewound},
		{"a kitchen written by a newer program is left alone", newerKitchen},
		{"one of many commits on a revision wins", oneWinner},
		{"names of any bytes don't collide", anyNames},
		{"what is cancelled writes nothing", cancelled},
		{"the observer is told how operations end", observed},
	}, dueConformance...), laneConformance...))
}

func emptyKitchen(t *testing.T, p place) {
	s := load(t, p.keeper(), "pump house", "r1")
	if s.Rev != "" || len(s.Fields) != 0 || s.Answer != nil || s.Now.IsZero() {
		t.Errorf("got %+v", s)
	}
	if s.Now.Location() != time.UTC || s.Now.Nanosecond()%1000 != 0 {
		t.Errorf("now is %v", s.Now)
	}
}

func comesBack(t *testing.T, p place) {
	k := p.keeper()
	rev := commit(t, k, "pump house", "", "r1", kitchen.Change{
		Set: fields("head", "1", "b1", "\x00\xff", "", "no name"), Answer: []byte("done"),
	})
	s := load(t, k, "pump house", "r1")
	same(t, fields("head", "1", "b1", "\x00\xff", "", "no name"), s.Fields)
	same(t, []byte("done"), s.Answer)
	same(t, rev, s.Rev)
	rev2 := commit(t, k, "pump house", rev, "r2", kitchen.Change{
		Set: fields("head", "2", "b2", ""), Del: []string{"b1", "never there"},
	})
	s = load(t, k, "pump house", "r3")
	same(t, fields("head", "2", "b2", "", "", "no name"), s.Fields)
	if s.Answer != nil || s.Rev != rev2 || rev2 == rev {
		t.Errorf("got revision %q after %q and answer %q", s.Rev, rev2, s.Answer)
	}
	if !strings.HasPrefix(rev, "1-") || !strings.HasPrefix(rev2, "2-") {
		t.Errorf("revisions are %q and %q", rev, rev2)
	}
}

func repeated(t *testing.T, p place) {
	k := p.keeper()
	ch := kitchen.Change{
		Set: fields("head", "1"), Due: exact, Outbox: []kitchen.Entry{entry("7/slip", "C1", 1)},
		Log: []kitchen.Line{{Kitchen: "pump house", Event: "charged"}}, Answer: []byte("one"),
	}
	rev := commit(t, k, "pump house", "", "r1", ch)
	before := p.dump(t)
	ch.Answer = []byte("two")
	for _, rev := range []string{rev, ""} {
		next, known, err := k.Commit(t.Context(), "pump house", rev, "r1", ch)
		if err != nil || next != "" || string(known) != "one" {
			t.Errorf("Commit again: revision %q, answer %q, error %v", next, known, err)
		}
	}
	same(t, before, p.dump(t))
}

func knownWithoutAnswer(t *testing.T, p place) {
	k := p.keeper()
	rev := commit(t, k, "pump house", "", "r1", kitchen.Change{Set: fields("head", "1")})
	if s := load(t, k, "pump house", "r1"); s.Answer == nil || len(s.Answer) != 0 {
		t.Errorf("Load gives answer %v", s.Answer)
	}
	_, known, err := k.Commit(t.Context(), "pump house", rev, "r1", kitchen.Change{})
	if err != nil || known == nil || len(known) != 0 {
		t.Errorf("Commit gives answer %v, error %v", known, err)
	}
}

func ownRequest(t *testing.T, p place) {
	k := p.keeper()
	commit(t, k, "pump house", "", "r1", kitchen.Change{Answer: []byte("one")})
	if s := load(t, k, "other", "r1"); s.Answer != nil {
		t.Errorf("another kitchen's answer is %q", s.Answer)
	}
	commit(t, k, "other", "", "r1", kitchen.Change{Answer: []byte("two")})
	same(t, []byte("one"), load(t, k, "pump house", "r1").Answer)
}

func noRequest(t *testing.T, p place) {
	k := p.keeper()
	rev := commit(t, k, "pump house", "", "", kitchen.Change{Set: fields("head", "1"), Answer: []byte("one")})
	if s := load(t, k, "pump house", ""); s.Answer != nil {
		t.Errorf("an answer was kept: %q", s.Answer)
	}
	for key, value := range p.dump(t) {
		if strings.Contains(value, "one") || strings.Contains(value, base64.StdEncoding.EncodeToString([]byte("one"))) {
			t.Errorf("the answer is kept in %s: %q", key, value)
		}
	}
	commit(t, k, "pump house", rev, "", kitchen.Change{Set: fields("head", "2")})
}

func stale(t *testing.T, p place) {
	k := p.keeper()
	fails(t, p, "pump house", "1-0123456789abcdef", "r1", kitchen.Change{Set: fields("head", "1")}, kitchen.ErrStale)
	rev := commit(t, k, "pump house", "", "r1", kitchen.Change{Set: fields("head", "1")})
	commit(t, k, "pump house", rev, "r2", kitchen.Change{Set: fields("head", "2")})
	for _, old := range []string{rev, "", "2", "2-", "nonsense"} {
		fails(t, p, "pump house", old, "r3", kitchen.Change{Set: fields("head", "3"), Due: exact}, kitchen.ErrStale)
	}
}

func knownFirst(t *testing.T, p place) {
	k := p.keeper()
	rev := commit(t, k, "pump house", "", "r1", kitchen.Change{Answer: []byte("one")})
	commit(t, k, "pump house", rev, "r2", kitchen.Change{})
	big := kitchen.Change{Set: fields("head", strings.Repeat("x", maxValue+1))}
	_, known, err := k.Commit(t.Context(), "pump house", rev, "r1", big)
	if err != nil || string(known) != "one" {
		t.Errorf("answer %q, error %v", known, err)
	}
	fails(t, p, "pump house", rev, "r3", big, kitchen.ErrStale)
}

// bigChanges are changes above each limit.
func bigChanges() map[string]kitchen.Change {
	many, heavy := map[string][]byte{}, map[string][]byte{}
	for i := range maxValues + 1 {
		many[fmt.Sprint(i)] = []byte("x")
	}
	for i := range 9 {
		heavy[fmt.Sprint(i)] = make([]byte, 60<<10)
	}
	var mixed kitchen.Change
	for i := range 101 {
		key := fmt.Sprint(i)
		mixed.Del = append(mixed.Del, key)
		mixed.Drop = append(mixed.Drop, key)
		mixed.Forget = append(mixed.Forget, uint32(i))
		mixed.Log = append(mixed.Log, kitchen.Line{Event: key})
		mixed.Archive = append(mixed.Archive, kitchen.Record{Batch: uint32(i), Day: "2025-11-24"})
	}
	long := strings.Repeat("x", maxName+1)
	return map[string]kitchen.Change{
		"501 fields":         {Set: many},
		"505 things":         mixed,
		"a field":            {Set: map[string][]byte{"head": make([]byte, maxValue+1)}},
		"a record":           {Archive: []kitchen.Record{{Batch: 1, Body: make([]byte, maxValue+1)}}},
		"an answer":          {Answer: make([]byte, maxValue+1)},
		"a line":             {Log: []kitchen.Line{{Event: strings.Repeat("x", maxValue)}}},
		"540 KiB":            {Set: heavy},
		"a field's name":     {Set: map[string][]byte{long: nil}},
		"an entry's lane":    {Outbox: []kitchen.Entry{entry("7/slip", long, 1)}},
		"a record's day":     {Archive: []kitchen.Record{{Batch: 1, Day: long}}},
		"a name to be taken": {Del: []string{long}},
	}
}

func tooBig(t *testing.T, p place) {
	rev := commit(t, p.keeper(), "pump house", "", "r1", kitchen.Change{Set: fields("head", "1")})
	for name, ch := range bigChanges() {
		ch.Due = exact
		t.Run(name, func(t *testing.T) { fails(t, p, "pump house", rev, "r2", ch, kitchen.ErrTooBig) })
	}
}

func justFits(t *testing.T, p place) {
	k := p.keeper()
	set := map[string][]byte{"0": make([]byte, maxValue)}
	for i := 1; i < maxValues; i++ {
		set[fmt.Sprint(i)] = make([]byte, 700)
	}
	rev := commit(t, k, "pump house", "", "r1", kitchen.Change{Set: set, Answer: make([]byte, maxValue)})
	same(t, set, load(t, k, "pump house", "").Fields)
	var del []string
	for name := range set {
		del = append(del, name)
	}
	commit(t, k, "pump house", rev, "r2", kitchen.Change{Del: del})
	same(t, map[string][]byte{}, load(t, k, "pump house", "").Fields)
}

func rewound(t *testing.T, p place) {
	rev := commit(t, p.keeper(), "pump house", "", "r1", kitchen.Change{Set: fields("head", "1")})
	restore := p.snapshot(t)
	lost := commit(t, p.keeper(), "pump house", rev, "r2", kitchen.Change{Set: fields("head", "lost")})
	restore()
	kept := commit(t, p.keeper(), "pump house", rev, "r3", kitchen.Change{Set: fields("head", "kept")})
	if number := kept[:2]; number != "2-" || !strings.HasPrefix(lost, number) {
		t.Fatalf("revisions are %q and %q", lost, kept)
	}
	fails(t, p, "pump house", lost, "r4", kitchen.Change{Set: fields("head", "wrong")}, kitchen.ErrStale)
	same(t, fields("head", "kept"), load(t, p.keeper(), "pump house", "").Fields)
}

func newerKitchen(t *testing.T, p place) {
	k := p.keeper()
	rev := commit(t, k, "pump house", "", "r1", kitchen.Change{Set: fields("head", "1"), Answer: []byte("one")})
	p.putVersion(t, "pump house", version+1)
	if _, err := k.Load(t.Context(), "pump house", "r1"); !errors.Is(err, kitchen.ErrNewer) {
		t.Errorf("Load: error %v", err)
	}
	if _, err := k.Peek(t.Context(), "pump house"); !errors.Is(err, kitchen.ErrNewer) {
		t.Errorf("Peek: error %v", err)
	}
	fails(t, p, "pump house", rev, "r2", kitchen.Change{Set: fields("head", "2"), Due: exact}, kitchen.ErrNewer)
	fails(t, p, "pump house", "", "", kitchen.Change{}, kitchen.ErrNewer)
}

func oneWinner(t *testing.T, p place) {
	k := p.keeper()
	const callers, rounds = 8, 12
	rev := ""
	for round := range rounds {
		won := make(chan string, callers)
		var all sync.WaitGroup
		for caller := range callers {
			all.Go(func() {
				request := fmt.Sprintf("r%d.%d", round, caller)
				next, _, err := k.Commit(t.Context(), "pump house", rev, request, kitchen.Change{
					Set: fields("head", request), Answer: []byte(request),
				})
				switch {
				case err == nil:
					won <- next
				case !errors.Is(err, kitchen.ErrStale):
					t.Errorf("Commit: %v", err)
				}
			})
		}
		all.Wait()
		if len(won) != 1 {
			t.Fatalf("round %d has %d winners", round, len(won))
		}
		rev = <-won
		s := load(t, k, "pump house", "")
		same(t, rev, s.Rev)
		known := load(t, k, "pump house", string(s.Fields["head"])).Answer
		same(t, string(s.Fields["head"]), string(known))
	}
}

func anyNames(t *testing.T, p place) {
	k := p.keeper()
	ids := []string{"", "a", "a:b", "1:a", "{0}", "}{", "\x00", "a\xff\xfe", "k:a", "3:abc", "æøå"}
	for i, id := range ids {
		commit(t, k, id, "", "a:r", kitchen.Change{
			Set: fields("f", id), Answer: []byte(id), Due: exact.Add(time.Duration(i) * time.Microsecond),
			Outbox:  []kitchen.Entry{entry("7/"+id, id+":lane", uint64(i))},
			Log:     []kitchen.Line{{V: 1, Kitchen: id, Event: "e"}},
			Archive: []kitchen.Record{{Batch: 7, Day: "2025-11-24", Body: []byte(id)}},
		})
	}
	for _, id := range ids {
		s := load(t, k, id, "a:r")
		same(t, fields("f", id), s.Fields)
		same(t, []byte(id), s.Answer)
		body, err := k.Record(t.Context(), id, 7)
		if err != nil || string(body) != id {
			t.Errorf("record of %q is %q, error %v", id, body, err)
		}
	}
	list, _, err := k.Due(t.Context(), 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	var due []string
	for _, d := range list {
		due = append(due, d.Kitchen)
	}
	same(t, ids, due)
	lanes := map[string]string{}
	for range ids {
		parcel, _, err := k.Take(t.Context(), "me", time.Minute)
		if err != nil || parcel == nil || len(parcel.Entries) != 1 {
			t.Fatalf("parcel %+v, error %v", parcel, err)
		}
		lanes[parcel.Kitchen] = parcel.Lane
		same(t, "7/"+parcel.Kitchen, parcel.Entries[0].Key)
	}
	for _, id := range ids {
		same(t, id+":lane", lanes[id])
	}
}

func cancelled(t *testing.T, p place) {
	k := p.keeper()
	rev := commit(t, k, "pump house", "", "", kitchen.Change{Outbox: []kitchen.Entry{entry("7/slip", "C1", 1)}})
	before := p.dump(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, _, err := k.Commit(ctx, "pump house", rev, "r1", kitchen.Change{Due: exact}); !errors.Is(err, context.Canceled) {
		t.Errorf("Commit: error %v", err)
	}
	if _, _, err := k.Take(ctx, "me", time.Minute); !errors.Is(err, context.Canceled) {
		t.Errorf("Take: error %v", err)
	}
	if _, err := k.Load(ctx, "pump house", "r1"); !errors.Is(err, context.Canceled) {
		t.Errorf("Load: error %v", err)
	}
	same(t, before, p.dump(t))
}

func observed(t *testing.T, p place) {
	k := p.keeper()
	if err := k.Ping(t.Context()); err != nil {
		t.Error(err)
	}
	rev := commit(t, k, "pump house", "", "r1", kitchen.Change{})
	_, _, _ = k.Commit(t.Context(), "pump house", "", "r2", kitchen.Change{})
	_, _, _ = k.Commit(t.Context(), "pump house", rev, "r2", kitchen.Change{Answer: make([]byte, maxValue+1)})
	p.putVersion(t, "pump house", version+1)
	_, _ = k.Load(t.Context(), "pump house", "")
	_, _, _ = k.Take(t.Context(), "me", time.Minute)
	same(t, []string{
		"ping ok", "commit ok", "commit stale", "commit too big", "load newer", "take ok",
	}, p.seen())
}
