package main_test

import (
	"io"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/practice"
)

func TestSignedSlashCommandGoesAllTheWayToStored(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "http", 1)
	b := h.run(0)
	if err := h.room.VerifyURL(h.soon()); err != nil {
		t.Error(err)
	}
	if got := h.says("bar-1", 0, "start pepper tequila 500ml"); !strings.HasPrefix(got, "Read as: pepper tequila, 500 ml.") {
		t.Errorf("the answer is %q", got)
	}
	h.taps("bar-1", 0, "Weigh 60 g for A", "Charger in")
	h.taps("bar-1", 0, "Swirl 1 s, A. Charger 1 of 2", "Charger in")
	// A bot's post rings a phone only when it mentions somebody.
	ring := func(m practice.Message) bool { return strings.Contains(m.Text, "<@"+h.crew["bar-1"]+">") }
	h.sees(0, "Vent #", ring)
	h.taps("bar-1", 0, "Vent #", "Empty, two silent presses")
	h.sees(0, "Strain ", ring)
	if got := h.says("bar-1", 0, "strained A 300"); !strings.HasPrefix(got, "Strained ") {
		t.Errorf("the answer is %q", got)
	}
	h.taps("bar-1", 0, "Label 300 ml, A: pepper tequila", "Labelled")
	h.sees(0, "Stored, fridge: pepper tequila, 300 ml")
	h.sees(0, "Labelled ") // what the strain call has become
	h.quiet()

	// The slip, the vent call and the strain call: no more messages in the calm case.
	want := []*regexp.Regexp{
		regexp.MustCompile(`^Weigh 60 g for A: `),
		regexp.MustCompile(`^Vent \d\d:\d\d, A, @bar-1: `),
		regexp.MustCompile(`^Strain \d\d:\d\d, A, @bar-1: `),
	}
	got := h.posted(0)
	for i := range want {
		if len(got) != len(want) || !want[i].MatchString(got[i]) {
			t.Fatalf("the channel saw %q, want %s", got, want)
		}
	}
	if n := h.room.Counts().Doubles; n != 0 {
		t.Errorf("%d messages were posted twice", n)
	}
	wantKept(t, h)
	wantMetrics(t, b)
}

// wantKept checks what is kept of a batch that went all the way.
func wantKept(t *testing.T, h *house) {
	t.Helper()
	kept := h.batch(0, "A")
	if kept.Phase != kitchen.Stored || len(kept.Charges) != 2 || kept.Yield.Millilitres() != 300 || kept.Owner.Name != "bar-1" {
		t.Errorf("kept is phase %s, %d chargers, %v, %+v", kept.Phase, len(kept.Charges), kept.Yield, kept.Owner)
	}
	var events []string
	for day := range 2 { // midnight may come in between
		lines, err := h.ledger.Lines(h.soon(), kept.Started.Done.Time().AddDate(0, 0, day), 100)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range lines {
			events = append(events, l.Event)
		}
	}
	want := []string{
		"started", "charged", "charged", "rest began", "vent call", "vented", "strain call", "strained", "labelled",
	}
	if diff := cmp.Diff(want, events); diff != "" {
		t.Errorf("the log (-want +got):\n%s", diff)
	}
}

// wantMetrics checks that the run can be seen from outside.
func wantMetrics(t *testing.T, b *bot) {
	t.Helper()
	resp, err := fresh.Get(b.url + "/metrics")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	page, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`ventbell_batches_open{phase="stored"} 1`,
		`ventbell_calls_total{kind="vent",outcome="delivered"} 1`,
		`ventbell_calls_total{kind="strain",outcome="delivered"} 1`,
		`ventbell_call_lateness_seconds_count{kind="vent"} 1`,
		`ventbell_requests_total{outcome="ok",way="slash"} 2`,
		`ventbell_requests_total{outcome="ok",way="tap"} 4`,
	} {
		if !strings.Contains(string(page), want+"\n") {
			t.Errorf("/metrics lacks %s", want)
		}
	}
}
