package voice

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
)

// form looks a form over and writes it down. The limits are Slack's: a title
// of 24 characters (from memory), an option's label of 75, 100 options.
func (w *evening) form(where string, f Form) {
	w.t.Helper()
	if f.Name == "" || len(f.Fields) == 0 {
		w.t.Errorf("%s: an empty form %+v", where, f)
	}
	for _, text := range []string{f.Title, f.Submit, f.Back} {
		if n := utf8.RuneCountInString(text); n == 0 || n > 24 {
			w.t.Errorf("%s: %q has %d characters", where, text, n)
		}
		w.saw(text)
	}
	m := message(append([]Line{{{Text: f.Title}}}, f.Lines...)...)
	kinds := strings.Split(m.Plain(), "\n")
	for _, l := range f.Lines {
		w.saw(l.Plain())
	}
	for _, field := range f.Fields {
		line := field.Label
		if field.Value != "" {
			line += ": " + field.Value
		}
		if field.Hint != "" {
			line += " (" + field.Hint + ")"
		}
		m.Lines = append(m.Lines, Line{{Text: line}})
		kinds = append(kinds, field.Label+" ("+field.Hint+")")
		w.saw(field.Label)
		w.saw(field.Hint)
		if len(field.Options) > mostOptions || field.ID == "" || utf8.RuneCountInString(field.Label) > 24 {
			w.t.Errorf("%s: field %+v", where, field)
		}
		for _, o := range field.Options {
			if o.Value == "" || o.Label == "" || utf8.RuneCountInString(o.Label) > 75 {
				w.t.Errorf("%s: option %+v of %s", where, o, field.ID)
			}
			w.saw(o.Label)
		}
		if n := len(field.Options); n > 0 {
			m.Lines = append(m.Lines, Line{{Text: fmt.Sprintf("   %d: %s", n, field.Options[0].Label)}})
		}
	}
	if w.paper == nil {
		return
	}
	if shape := w.shape(m); !w.heard[shape] {
		w.heard[shape] = true
		w.aloud.tell(w.t, w.language+" form "+where, f)
	}
	w.write("form "+where, m.Plain()+fmt.Sprintf("\n[%s] [%s]", f.Submit, f.Back), kinds)
}

// page looks somebody's page over and writes it down.
func (w *evening) page(p kitchen.Person) Page {
	w.t.Helper()
	k := w.kitchen()
	page := w.voice.Home(k, reviewBook(), p, w.now)
	if n := page.blocks(); n > pageRoom {
		w.t.Errorf("%s's page takes %d blocks", p.Name, n)
	}
	if w.paper != nil {
		w.aloud.tell(w.t, w.language+" page of "+p.Name, page)
	}
	for _, m := range page {
		w.showLong("page of "+p.Name, k, m, pageDone+2)
	}
	return page
}

// forms opens forms, fills them in, and changes what was read.
func (w *evening) forms() {
	w.hear(kitchen.Command{By: bar1, Open: kitchen.FormStart})
	w.hear(kitchen.Command{By: bar1, Open: kitchen.FormReading, Text: "start rhubarb gin 400ml in A"})
	fill := func(name kitchen.FormName, carry string, fields ...string) {
		all := map[string]string{}
		for i := 0; i < len(fields); i += 2 {
			all[fields[i]] = fields[i+1]
		}
		w.hear(kitchen.Command{By: bar1, Form: &kitchen.Filled{Name: string(name), Carry: carry, Fields: all}})
	}
	fill(kitchen.FormStart, "", kitchen.FieldRecipe, "rhubarb gin", kitchen.FieldVolume, "400ml", kitchen.FieldVessel, "A")
	fill(kitchen.FormStart, "", kitchen.FieldVolume, "400ml")
	fill(kitchen.FormStart, "", kitchen.FieldRecipe, "charged A")
	fill("nothing", "")
	b := w.last()
	w.hear(kitchen.Command{By: bar1, Tap: &kitchen.Tap{Line: "scrap A", Batch: b.ID, Turn: b.Turn, With: "change"}})
	fill(kitchen.FormReading, b.Carry(), kitchen.FieldLine, "charged A")
	fill(kitchen.FormReading, b.Carry(), kitchen.FieldLine, "start rhubarb gin 4l")
	fill(kitchen.FormReading, b.Carry(), kitchen.FieldLine, "start ginger gin 300ml in B")
	w.hear(kitchen.Command{By: bar1, Open: kitchen.FormStart})
	w.says(bar1, "charged B")
	w.hear(kitchen.Command{By: bar1, Open: kitchen.FormStart})
	w.says(bar1, "vented B")
	w.hear(kitchen.Command{By: bar1, Open: kitchen.FormStart})
	w.says(bar1, "strained B")
	w.hear(kitchen.Command{By: bar1, Open: kitchen.FormStart})
	b2 := *reviewBook()
	b2.Recipes = slices.Repeat(b2.Recipes, 101)
	w.form("a book too long to choose from", w.voice.Form(w.kitchen(), &b2, kitchen.Answer{Form: kitchen.FormStart}))
}

// late says things that reach us long after they were said.
func (w *evening) late() {
	ago := w.now.Add(-25 * time.Minute)
	a := w.hear(kitchen.Command{By: bar1, Text: "start rhubarb gin 400ml in A", At: ago})
	w.taps(bar1, a, 0)
	w.pass(time.Hour)
	w.fill("start rhubarb gin 400ml in A")
	w.called(kitchen.Venting)
	w.pass(30 * time.Minute)
	w.hear(kitchen.Command{By: bar1, Text: "vented A", At: w.now.Add(-15 * time.Minute)})
}

// pages looks at people's own pages while things happen.
func (w *evening) pages() {
	everybody := func() {
		for _, p := range []kitchen.Person{lead, bar1, bar2} {
			w.page(p)
		}
	}
	everybody()
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(bar2, "start toasted barley whisky 400ml in B")
	everybody()
	for _, verb := range []string{"charged", "charged"} {
		w.says(bar1, verb+" A")
		w.says(bar2, verb+" B")
		everybody()
	}
	w.pass(4 * time.Minute)
	everybody()
	for _, verb := range []string{"vented", "strained|300ml", "cleared", "labelled"} {
		w.pass(5 * time.Minute)
		head, tail, _ := strings.Cut(verb, "|")
		w.says(bar1, strings.TrimSpace(head+" A "+tail))
		w.pass(30 * time.Minute)
		w.says(bar2, strings.TrimSpace(head+" B "+tail))
		everybody()
	}
	w.says(bar1, "start smoky tea rum 200ml in D")
	w.says(bar1, "charged D")
	w.taps(bar1, w.says(bar1, "scrap D"), 0)
	everybody()
	w.says(bar1, "vented D")
	w.pass(11 * time.Minute)
	for range 14 {
		w.says(bar1, "washed A")
		w.says(bar1, "start rhubarb gin 400ml in A")
		w.says(bar1, "charged A")
		w.says(bar1, "vented A")
		w.taps(bar1, w.says(bar1, "scrap A"), 0)
		w.pass(11 * time.Minute)
	}
	everybody()
}

// fallbacks has the platform call by itself.
func (w *evening) fallbacks() {
	w.team.Fallback = true
	w.fill("start rhubarb gin 400ml in A")
	w.pass(90 * time.Second)
	w.called(kitchen.Venting)
	w.pass(20 * time.Minute)
	w.taps(bar1, w.says(bar1, "scrap A"), 0)
	w.says(bar1, "vented A")
	w.says(bar2, "start smoky tea rum 200ml in D")
	w.says(bar2, "charged D")
	w.pass(time.Hour)
	w.says(bar2, "start toasted barley whisky 400ml in B")
	w.says(bar2, "charged B")
	w.says(bar2, "charged B")
	w.says(bar2, "charged B")
	w.pass(10 * time.Minute)
}

// troubles has lanes take no messages, for each reason, and take them again.
func (w *evening) troubles() {
	w.fill("start rhubarb gin 400ml in A")
	for i, reason := range append(stuck, "anything else") {
		lane := []string{"C1", "@U1", "C7"}[i%3]
		w.hear(kitchen.Command{Trouble: &kitchen.Trouble{Lane: lane, Reason: reason}})
		w.page(lead)
	}
	w.says(bar2, "start ginger gin 400ml in B")
	w.says(bar2, "charged B")
	w.says(bar2, "start smoky tea rum 200ml in D")
	w.says(bar2, "charged D")
	w.called(kitchen.Venting)
	w.says(bar2, "start thyme oil 600ml in C")
	w.says(bar2, "charged C")
	w.pass(5 * time.Minute)
	w.hear(kitchen.Command{Trouble: &kitchen.Trouble{Lane: "C1", Reason: "token refused"}})
	w.page(lead)
	w.page(bar1)
	for _, lane := range []string{"C1", "@U1", "C7"} {
		w.hear(kitchen.Command{Trouble: &kitchen.Trouble{Lane: lane}})
	}
}

// outage holds calls back and says them together.
func (w *evening) outage() {
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(bar2, "start toasted barley whisky 400ml in B")
	w.says(bar1, "start thyme oil 600ml in C")
	w.says(bar2, "start smoky tea rum 200ml in D")
	together := func(where string) {
		w.t.Helper()
		var held []kitchen.Entry
		for _, e := range w.known {
			held = append(held, e)
		}
		if m, ok := w.voice.Outage(w.kitchen(), held, w.now); ok {
			w.showLong(where, w.kitchen(), m, outageLines)
			if n := len(m.Buttons); n > outageButtons {
				w.t.Errorf("%s: %d buttons", where, n)
			}
			w.show("again: "+where, w.kitchen(), message(w.voice.Repeat(m).Lines[0]))
		}
	}
	together("nothing waits")
	for _, line := range []string{"charged A", "charged B", "charged D", "charged C"} {
		w.says(bar1, line)
	}
	together("all is well")
	w.pass(160 * time.Second)
	w.says(bar1, "charged A")
	w.says(bar2, "charged A")
	together("a charger too many")
	w.pass(8 * time.Minute)
	together("vents and a charge")
	w.says(bar1, "vented A")
	w.says(bar2, "vented B")
	w.says(bar2, "charged D")
	w.pass(12 * time.Minute)
	together("strains and vents")
	w.says(bar1, "strained A 300ml")
	w.says(bar2, "strained B 300ml")
	w.pass(45 * time.Minute)
	together("labels and standing")
}

// histories tells what was done to batches.
func (w *evening) histories() {
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar2, "charged A")
	k := w.kitchen()
	b := k.Batches[1]
	tell := func(where string) {
		w.t.Helper()
		m, reason := w.voice.Entry(k, kitchen.Entry{Kind: kitchen.HistoryNote, Batch: b.ID}, true, w.now)
		if reason != "" {
			w.t.Fatal(reason)
		}
		w.showLong(where, k, m, 15)
	}
	tell("with a doubt")
	for range 20 {
		b.Charges = append(b.Charges, b.Charges[0])
	}
	b.Charges[1].Assumed = true
	mark := kitchen.Mark{By: bar2, Done: kitchen.At(w.now), Entered: kitchen.At(w.now.Add(5 * time.Minute))}
	b.Emptied, b.Strained, b.Cleared, b.Labelled, b.Undone = &mark, &mark, &mark, &mark, &mark
	b.RestFrom, b.RestAssumed = kitchen.At(w.now), false
	tell("with everything that can be")
	b.Phase, b.Ended = kitchen.Scrapped, &mark
	tell("and scrapped")
	b.Expired = true
	tell("let go")
	b.Phase, b.Labelled, b.Cleared = kitchen.Scrapped, nil, nil
}

// crowded is a kitchen of n vessels with a batch in each, all of them called.
func crowded(t *testing.T, n int) (*kitchen.Kitchen, *book.Book, time.Time) {
	t.Helper()
	b, now := *reviewBook(), time.Date(2026, 11, 24, 18, 0, 0, 0, time.UTC)
	b.Vessels = nil
	for i := range n {
		v := reviewBook().Vessels[0]
		v.Tag = fmt.Sprint("V", i+1)
		b.Vessels = append(b.Vessels, v)
	}
	k, err := kitchen.Decode("main", nil)
	if err != nil {
		t.Fatal(err)
	}
	k.Head.Team = kitchen.Team{Channel: "C1", Managers: []kitchen.Person{lead}}
	for i := range n {
		by := kitchen.Mark{By: bar1, Done: kitchen.At(now), Entered: kitchen.At(now)}
		batch := &kitchen.Batch{ID: uint32(i + 1)}
		batch.Title, batch.Vessel, batch.Chargers, batch.Started = strings.Repeat("long name ", 6)+"gin", fmt.Sprint("V", i+1), 2, by
		batch.Liquid, batch.Owner, batch.Phase, batch.Rung = 400*quantity.Millilitre, bar1, kitchen.Venting, 3
		batch.Charges = []kitchen.Charge{{Mark: by}, {Mark: by}}
		batch.VentAt, batch.ContactFrom, batch.Contact = kitchen.At(now), kitchen.At(now), 20*time.Minute
		batch.CallAt = kitchen.At(now.Add(time.Minute))
		k.Batches[batch.ID] = batch
	}
	return k, &b, now.Add(5 * time.Minute)
}

// The limit is Slack's: 100 blocks of a page.
func TestAPageOfFortyVesselsFits(t *testing.T) {
	t.Parallel()
	judge := listening(t)
	k, b, now := crowded(t, 40)
	for i, reason := range stuck {
		k.Head.Troubles = append(k.Head.Troubles, kitchen.Trouble{Lane: "C1", Reason: reason, N: uint16(i + 1), Since: kitchen.At(now)})
	}
	for _, language := range Languages() {
		v := speaking(t, language)
		for _, p := range []kitchen.Person{lead, bar1, bar2} {
			page := v.Home(k, b, p, now)
			judge.tell(t, language+" full page of "+p.Name, page)
			if n := page.blocks(); n > 100 || n < 80 {
				t.Errorf("%s's page in %s takes %d blocks, want nearly 100", p.Name, language, n)
			}
			told, more := 0, false
			for _, m := range page {
				for _, l := range m.Lines {
					line := l.Plain()
					before, after, _ := strings.Cut(v.phrases["and.more"], "{n}")
					after, _, _ = strings.Cut(after, "`")
					more = more || strings.HasPrefix(line, before) && strings.Contains(line, after)
				}
				if len(m.Buttons) == 1 {
					told++
				}
			}
			if told < 20 || told >= 40 || !more {
				t.Errorf("%s's page in %s tells of %d batches, and of more: %v", p.Name, language, told, more)
			}
		}
	}
}

func TestAManagersPageBeginsWithWhatIsWrong(t *testing.T) {
	t.Parallel()
	k, b, now := crowded(t, 2)
	k.Batches[1].Phase, k.Batches[1].Rung = kitchen.Resting, 0
	k.Head.Troubles = []kitchen.Trouble{{Lane: "C1", Reason: "channel archived", N: 1, Since: kitchen.At(now)}}
	page := speaking(t, "en").Home(k, b, lead, now)
	for i, want := range []string{"No messages to the team channel", "Waiting for somebody: 1. PRESSURISED: 2.", "V2 PRESSURISED, vent now", "V1 PRESSURISED, rest"} {
		if got := page[i].Plain(); !strings.HasPrefix(got, want) {
			t.Errorf("message %d is %q, want %q", i, got, want)
		}
	}
}

func TestACrewsPageBeginsWithTheirOwn(t *testing.T) {
	t.Parallel()
	k, b, now := crowded(t, 2)
	k.Batches[2].Owner = bar2
	var heads []string
	for _, m := range speaking(t, "en").Home(k, b, bar2, now) {
		heads = append(heads, m.Lines[0].Plain())
	}
	all := strings.Join(heads, "\n")
	if !strings.HasPrefix(all, "Yours: 1.\nV2 PRESSURISED, vent now") || !strings.Contains(all, "with others: 1.\nV1 PRESSURISED") {
		t.Errorf("the page is\n%s", all)
	}
}

// What comes out the same is not drawn again, so time alone changes nothing.
func TestAPageChangesOnlyWhenItsKitchenDoes(t *testing.T) {
	t.Parallel()
	k, b, now := crowded(t, 3)
	v := speaking(t, "en")
	said := func(now time.Time) string {
		var all []string
		for _, m := range v.Home(k, b, lead, now) {
			all = append(all, m.Plain())
		}
		return strings.Join(all, "\n")
	}
	if first, later := said(now), said(now.Add(7*time.Minute)); first != later {
		t.Errorf("the page changed:\n%s\nto\n%s", first, later)
	}
}

func TestCallsOfAnOutageAreSaidTogether(t *testing.T) {
	t.Parallel()
	k, _, now := crowded(t, 20)
	var held []kitchen.Entry
	for id := range k.Batches {
		e := kitchen.Entry{Kind: kitchen.VentCall, Batch: id, Due: now.Add(-5 * time.Minute)}
		again := e
		again.Rung = 1
		held = append(held, e, again)
	}
	for _, language := range Languages() {
		v := speaking(t, language)
		m, ok := v.Outage(k, held, now)
		if !ok || len(m.Lines) != outageLines || len(m.Buttons) != outageButtons {
			t.Fatalf("%s: %v, %d lines, %d buttons", language, ok, len(m.Lines), len(m.Buttons))
		}
		if got := strings.Count(m.Plain(), "@bar-1"); got != outageLines-4 {
			t.Errorf("%s: the owner is mentioned %d times in\n%s", language, got, m.Plain())
		}
		for _, b := range m.Buttons {
			if utf8.RuneCountInString(b.Label) > 30 {
				t.Errorf("%s: label %q", language, b.Label)
			}
		}
		if last := m.Lines[len(m.Lines)-1].Plain(); last != v.word("safe.empty", nil) {
			t.Errorf("%s: the last line is %q", language, last)
		}
		for _, fewer := range [][]kitchen.Entry{nil, held[:2]} { // two calls of one batch are one thing to do
			if _, ok := v.Outage(k, fewer, now); ok {
				t.Errorf("%s: %d calls of one batch are said together", language, len(fewer))
			}
		}
	}
}

func TestAnAnsweredCallIsNotSaidAfterAnOutage(t *testing.T) {
	t.Parallel()
	k, _, now := crowded(t, 3)
	mark := kitchen.Mark{By: bar1, Done: kitchen.At(now)}
	k.Batches[3].Emptied, k.Batches[3].Phase = &mark, kitchen.Settling
	var held []kitchen.Entry
	for id := range uint32(3) {
		held = append(held, kitchen.Entry{Kind: kitchen.VentCall, Batch: id + 1, Due: now})
	}
	m, ok := speaking(t, "en").Outage(k, held, now)
	if !ok || strings.Contains(m.Plain(), "V3") {
		t.Errorf("%v, said\n%s", ok, m.Plain())
	}
}

func TestARepeatSaysSo(t *testing.T) {
	t.Parallel()
	m := message(Line{{Text: "Vent A"}}, Line{{Text: "Upright."}})
	got := speaking(t, "en").Repeat(m)
	if got.Plain() != "Vent A (again, if you saw it)\nUpright." || m.Plain() != "Vent A\nUpright." {
		t.Errorf("%q is repeated as %q", m.Plain(), got.Plain())
	}
}

func TestTheFallbackStandsAlone(t *testing.T) {
	t.Parallel()
	k, _, now := crowded(t, 1)
	e := kitchen.Entry{Kind: kitchen.FallbackCall, Batch: 1, Due: now}
	v := speaking(t, "en")
	if m, reason := v.Entry(k, e, false, now); reason != "not wanted" {
		t.Errorf("said %q without being asked for", m.Plain())
	}
	k.Head.Beside = map[uint32]kitchen.Beside{1: {Fallback: kitchen.At(now)}}
	m, reason := v.Entry(k, e, false, now)
	if reason != "" || len(m.Buttons) > 0 || !strings.HasPrefix(m.Plain(), "Vent V1 now, due 18:00, @bar-1: ") {
		t.Errorf("%s, %d buttons:\n%s", reason, len(m.Buttons), m.Plain())
	}
	mark := kitchen.Mark{By: bar1, Done: kitchen.At(now)}
	k.Batches[1].Emptied = &mark
	if m, reason := v.Entry(k, e, false, now); reason != "no gas in it" {
		t.Errorf("said %q of an empty vessel", m.Plain())
	}
}

func TestAFormIsTypedWhereThereIsTooMuchToChoose(t *testing.T) {
	t.Parallel()
	k, b, _ := crowded(t, 101)
	for len(b.Recipes) <= 100 {
		b.Recipes = append(b.Recipes, b.Recipes...)
	}
	f := speaking(t, "en").Form(k, b, kitchen.Answer{Kind: kitchen.OpenForm, Form: kitchen.FormStart})
	for _, field := range f.Fields {
		if len(field.Options) > 0 {
			t.Errorf("field %s has %d options", field.ID, len(field.Options))
		}
	}
}
