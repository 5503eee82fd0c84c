package trace_test

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"flag"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/ledger"
	"ventbell/internal/request"
	"ventbell/internal/trace"
)

var update = flag.Bool("update", false, "write the golden files anew")

var (
	bar1 = kitchen.Person{ID: "U1", Name: "bar-1"}
	bar2 = kitchen.Person{ID: "U2", Name: "bar-2"}
	lead = kitchen.Person{ID: "U9", Name: "prep-lead"}
)

// house is a kitchen over a file ledger, on a clock of its own.
type house struct {
	t      *testing.T
	now    time.Time
	ledger *ledger.File
	reader *request.Reader
	book   *book.Book
	n      int
}

func newHouse(t *testing.T, now time.Time) *house {
	t.Helper()
	h := &house{t: t, now: now, book: book.Sample()}
	h.reader = request.NewReader(h.book)
	var err error
	if h.ledger, err = ledger.OpenFile(filepath.Join(t.TempDir(), "kitchen.db"), func() time.Time { return h.now }); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { h.ledger.Close() })
	return h
}

func (h *house) change(do func(k *kitchen.Kitchen) kitchen.Change) {
	h.t.Helper()
	s, err := h.ledger.Load(h.t.Context(), "main", "")
	if err != nil {
		h.t.Fatal(err)
	}
	k, err := kitchen.Decode("main", s.Fields)
	if err != nil {
		h.t.Fatal(err)
	}
	if ch := do(k); len(ch.Log) > 0 {
		if _, _, err := h.ledger.Commit(h.t.Context(), "main", s.Rev, "", ch); err != nil {
			h.t.Fatal(err)
		}
	}
}

// says has somebody say a line, and rings what fell due before.
func (h *house) says(p kitchen.Person, line string) (a kitchen.Answer) {
	h.t.Helper()
	return h.hears(kitchen.Command{Text: line, By: p})
}

func (h *house) hears(cmd kitchen.Command) (a kitchen.Answer) {
	h.t.Helper()
	h.change(func(k *kitchen.Kitchen) kitchen.Change { return k.Ring(h.now) })
	h.n++
	cmd.ID, cmd.At = "req-"+h.now.Format("150405"), h.now
	cmd.Message = "C1/" + h.now.Format("20060102.150405")
	h.change(func(k *kitchen.Kitchen) (ch kitchen.Change) {
		ch, a = k.Handle(h.reader, h.book, kitchen.Team{Channel: "C1", Managers: []kitchen.Person{lead}}, cmd, h.now)
		return ch
	})
	return a
}

func (h *house) pass(d time.Duration) { h.now = h.now.Add(d) }

func (h *house) trace() trace.Reader {
	return trace.Reader{Ledger: h.ledger, Kitchen: "main", Zone: h.now.Location()}
}

// evening makes a batch of lot 7 from the start to the label, and lets it leave.
func (h *house) evening() {
	h.t.Helper()
	for _, x := range []struct {
		by    kitchen.Person
		line  string
		after time.Duration
	}{
		{bar1, "lot 7 gin", 0}, {bar1, "start rhubarb gin 400ml in A", time.Minute}, {bar1, "charged A", time.Minute},
		{bar1, "charged A", 40 * time.Second}, {bar2, "vented A", 3 * time.Minute}, {bar2, "strained A 345ml", 4 * time.Minute},
		{bar1, "labelled A", time.Minute}, {bar1, "washed A", time.Minute},
	} {
		h.pass(x.after)
		if a := h.says(x.by, x.line); a.Kind != kitchen.Done {
			h.t.Fatalf("%s: %+v", x.line, a)
		}
	}
	h.pass(time.Hour)
	h.says(bar1, "on shift")
}

func london(t *testing.T) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}

// rows gives an export as text.
func rows(t *testing.T, h *house, from, to time.Time, open func(*bytes.Buffer) trace.Writer) string {
	t.Helper()
	var b bytes.Buffer
	r, w := h.trace(), open(&b)
	err := r.Events(t.Context(), from, to, func(l kitchen.Line) error { return w.Row(r.EventCells(l)) })
	if err := errors.Join(err, w.Close()); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func asCSV(b *bytes.Buffer) trace.Writer  { return trace.NewCSV(b, trace.EventColumns) }
func asJSON(b *bytes.Buffer) trace.Writer { return trace.NewJSON(b, trace.EventColumns) }

func compare(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := errors.Join(os.MkdirAll("testdata", 0o755), os.WriteFile(path, []byte(got), 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", name, diff)
	}
}

func TestAnEveningIsExportedEventByEventAndBatchByBatch(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 11, 24, 18, 0, 0, 0, london(t))
	h := newHouse(t, start)
	h.evening()
	day := time.Date(2026, 11, 24, 0, 0, 0, 0, start.Location())
	events := rows(t, h, day, day.AddDate(0, 0, 1), asCSV)
	compare(t, "events.csv", events)
	records, err := csv.NewReader(strings.NewReader(events)).ReadAll()
	if err != nil || len(records) < 8 {
		t.Fatalf("%d rows, %v", len(records), err)
	}
	if !slices.ContainsFunc(records, func(r []string) bool { return r[4] == "labelled" && r[5] == "bar-1" && strings.HasPrefix(r[8], "C1/") }) {
		t.Error("no row says who labelled it, and from which message")
	}
	var b bytes.Buffer
	r, w := h.trace(), trace.NewCSV(&b, trace.BatchColumns)
	list, err := r.Batches(t.Context(), day, day)
	if err != nil || len(list) != 1 {
		t.Fatalf("%d batches, %v", len(list), err)
	}
	if err := errors.Join(w.Row(r.BatchCells(list[0])), w.Close()); err != nil {
		t.Fatal(err)
	}
	compare(t, "batches.csv", b.String())
}

func TestJSONHoldsWhatTheTableHolds(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)
	h := newHouse(t, start)
	h.evening()
	from, to := start, start.AddDate(0, 0, 1)
	var list []map[string]string
	if err := json.Unmarshal([]byte(rows(t, h, from, to, asJSON)), &list); err != nil {
		t.Fatal(err)
	}
	table, err := csv.NewReader(strings.NewReader(rows(t, h, from, to, asCSV))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var want []map[string]string
	for _, row := range table[1:] {
		of := map[string]string{}
		for i, cell := range row {
			if cell != "" {
				of[table[0][i]] = strings.TrimPrefix(cell, "'")
			}
		}
		want = append(want, of)
	}
	if diff := cmp.Diff(want, list); diff != "" {
		t.Errorf("table (-) and JSON (+):\n%s", diff)
	}
	list = nil
	none := rows(t, h, from.AddDate(0, 0, -9), from.AddDate(0, 0, -8), asJSON)
	if err := json.Unmarshal([]byte(none), &list); err != nil || len(list) != 0 {
		t.Errorf("a day without events is %q, %v", none, err)
	}
}

// Source: RFC 4180 for the quotes; OWASP, "CSV Injection", for the first characters
// that a table program takes for a formula (from memory).
func TestNoCellIsAFormula(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	w := trace.NewCSV(&b, []string{"a"})
	cells := []string{"=1+1", "+1", "-1", "@sum", "\tx", "\rx", "\n=1", "＝1", "plain", `say "hi", twice`, "a\r\nb", "", "7-1"}
	for _, c := range cells {
		if err := w.Row([]string{c, "x"}); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "\"say \"\"hi\"\", twice\",x\r\n") {
		t.Errorf("quotes are not doubled:\n%s", b.String())
	}
	r := csv.NewReader(&b)
	r.FieldsPerRecord = -1
	got, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range got[1:] {
		held := i < 8
		if first := strings.HasPrefix(row[0], "'"); first != held {
			t.Errorf("%q is written as %q", cells[i], row[0])
		}
	}
}

// On the night when clocks go back an hour comes twice. Rows stand in the order of
// what happened, and each carries its offset. Source: Great Britain's summer time
// ends at 01:00 UTC on the last Sunday of October (Summer Time Order 2002).
func TestTheNightOfTheClockChangeStaysInOrder(t *testing.T) {
	t.Parallel()
	zone := london(t)
	h := newHouse(t, time.Date(2026, 10, 25, 0, 30, 0, 0, time.UTC).In(zone)) // 01:30 BST
	for _, p := range []kitchen.Person{bar1, bar2, lead} {
		h.says(p, "on shift")
		h.pass(30 * time.Minute)
	}
	table, err := csv.NewReader(strings.NewReader(
		rows(t, h, time.Date(2026, 10, 25, 0, 0, 0, 0, zone), time.Date(2026, 10, 26, 0, 0, 0, 0, zone), asCSV))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, row := range table[1:] {
		got = append(got, row[0]+" "+row[5])
	}
	want := []string{"2026-10-25T01:30:00+01:00 bar-1", "2026-10-25T01:00:00Z bar-2", "2026-10-25T01:30:00Z prep-lead"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
}

// A closing list that was signed stands among the records and is no batch.
func TestSignedListsAreNoBatches(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)
	h := newHouse(t, start)
	h.evening()
	h.says(bar1, "counted 40 chargers")
	h.says(bar1, "counted 2 shells")
	h.says(bar1, "fridge 4C")
	a := h.says(bar1, "closing")
	a = h.says(bar1, "sign")
	for tries := 0; a.Kind == kitchen.Ask && len(a.Choices) > 0 && tries < 3; tries++ {
		a = h.hears(kitchen.Command{Tap: &a.Choices[0].Tap, By: bar1})
	}
	days, err := h.ledger.Day(t.Context(), "main", "2026-11-24")
	if err != nil {
		t.Fatal(err)
	}
	if len(days) != 2 {
		t.Fatalf("records of the day: %v; the last answer is %+v", days, a)
	}
	list, err := h.trace().Batches(t.Context(), start, start)
	if err != nil || len(list) != 1 {
		t.Errorf("%d batches, %v", len(list), err)
	}
}

// Who asked to be forgotten stands nowhere in an export, from the moment on; what
// they did does.
func TestWhoWasForgottenIsNotNamed(t *testing.T) {
	t.Parallel()
	start := time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)
	h := newHouse(t, start)
	h.evening()
	h.pass(time.Minute)
	for _, sure := range h.says(lead, "forget @U2").Choices {
		h.hears(kitchen.Command{Tap: &sure.Tap, By: lead, Salt: []byte("salt")})
	}
	events := rows(t, h, start, start.AddDate(0, 0, 1), asCSV)
	if strings.Contains(events, "bar-2") || strings.Contains(events, "U2") || !strings.Contains(events, "strained,hand-") {
		t.Errorf("the events still name them, or lost what they did:\n%s", events)
	}
	list, err := h.trace().Batches(t.Context(), start, start)
	if err != nil || len(list) != 1 {
		t.Fatalf("%d batches, %v", len(list), err)
	}
	if cells := strings.Join(h.trace().BatchCells(list[0]), ","); strings.Contains(cells, "bar-2") || !strings.Contains(cells, "hand-") {
		t.Errorf("the batch still names them: %s", cells)
	}
}

func TestAKitchenThatNeverWasIsAnError(t *testing.T) {
	t.Parallel()
	h := newHouse(t, time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC))
	if err := h.trace().Events(t.Context(), h.now, h.now, nil); err == nil || !strings.Contains(err.Error(), `"main"`) {
		t.Errorf("error is %v", err)
	}
}
