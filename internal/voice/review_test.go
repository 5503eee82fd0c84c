package voice

import (
	"cmp"
	"flag"
	"fmt"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
	"unicode/utf8"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

var update = flag.Bool("update", false, "write the golden file anew")

// golden names a file of messages as a person reads them, with buttons as lines.
func golden(name, language string) string {
	if language == "en" {
		return "testdata/" + name + ".golden"
	}
	return "testdata/" + name + "." + language + ".golden"
}

var (
	reviewBook   = sync.OnceValue(book.Sample)
	reviewReader = sync.OnceValue(func() *request.Reader { return request.NewReader(reviewBook()) })

	bar1 = kitchen.Person{ID: "U1", Name: "bar-1"}
	bar2 = kitchen.Person{ID: "U2", Name: "bar-2"}
	lead = kitchen.Person{ID: "U9", Name: "prep-lead"}
)

// evening is one kitchen that says aloud all that happens in it. Every message
// is looked over as it is when it happens; those on paper are also read by people.
type evening struct {
	t      testing.TB
	voice  Voice
	fields map[string][]byte
	now    time.Time
	known  map[string]kitchen.Entry // every entry that was ever queued
	batch  uint32                   // the latest
	team   kitchen.Team
	safes  map[string]bool // the safety notes
	*record
	unread bool // looked over, and not put on paper
	n      int
}

// record is what several evenings leave behind; without paper it only looks.
type record struct {
	language string // empty = English
	paper    *paper
	heard    map[string]bool // shapes of messages that the judge outside was told
	said     []string        // every line that somebody reads
	fine     map[string]bool // what was looked over before
	notes    []string        // of every message, how many safety notes it holds
	aloud    *aloud          // for a judge outside
}

func newEvening(t testing.TB, r *record) *evening {
	if r.fine == nil {
		r.fine, r.heard = map[string]bool{}, map[string]bool{}
	}
	zone, err := time.LoadLocation(reviewBook().House.Zone)
	if err != nil {
		t.Fatal(err)
	}
	v, err := New(cmp.Or(r.language, "en"), zone)
	if err != nil {
		t.Fatal(err)
	}
	safes := map[string]bool{}
	for name := range v.phrases {
		if strings.HasPrefix(string(name), "safe.") {
			safes[v.word(name, nil)] = true
		}
	}
	return &evening{
		safes: safes, t: t, voice: v, fields: map[string][]byte{}, now: time.Date(2026, 11, 24, 18, 0, 0, 0, zone),
		known: map[string]kitchen.Entry{}, record: r,
		team: kitchen.Team{Channel: "C1", Managers: []kitchen.Person{lead}},
	}
}

func (w *evening) kitchen() *kitchen.Kitchen {
	w.t.Helper()
	k, err := kitchen.Decode("main", maps.Clone(w.fields))
	if err != nil {
		w.t.Fatal(err)
	}
	return k
}

// show looks a message over and writes it down.
func (w *evening) show(where string, k *kitchen.Kitchen, m Message) {
	w.t.Helper()
	w.showLong(where, k, m, 6)
}

// showLong does so with a message that may have more than six lines.
func (w *evening) showLong(where string, k *kitchen.Kitchen, m Message, most int) {
	w.t.Helper()
	w.note(where, m)
	w.lintLong(where, k, m, most)
	if w.paper == nil || len(m.Lines) == 0 {
		return
	}
	if shape := w.shape(m); !w.heard[shape] {
		w.heard[shape] = true
		w.aloud.tell(w.t, w.language+" "+where, m)
	}
	w.writeMessage(where, m)
}

// shape gives a message and its buttons without what differs from batch to batch.
func (w *evening) shape(m Message) string {
	text := m.Plain()
	for _, b := range m.Buttons {
		text += "[" + b.Label + "]"
	}
	return bare(text)
}

// keep keeps a change, says what it brings, and looks over everything that
// stands in the channel as it would be said now.
func (w *evening) keep(ch kitchen.Change) {
	w.t.Helper()
	maps.Copy(w.fields, ch.Set)
	for _, name := range ch.Del {
		delete(w.fields, name)
	}
	k := w.kitchen()
	for _, e := range ch.Outbox {
		_, sent := w.known[e.Key]
		if e.Edit && !sent {
			continue
		}
		m, reason := w.voice.Entry(k, e, sent, w.now)
		switch {
		case reason == "" && len(m.Lines) == 0:
			w.t.Fatalf("%s: neither words nor a reason", e.Key)
		case reason == "":
			w.showLong(marked(e, sent), k, m, linesAtMost(e))
			w.safe(k.Batches[e.Batch], e, m)
		}
		w.known[e.Key] = e
		if k.Batches[e.Batch] != nil {
			w.batch = max(w.batch, e.Batch)
		}
	}
	if w.paper != nil && w.language != "en" {
		return // what stands is made of the same sentences
	}
	for _, key := range slices.Sorted(maps.Keys(w.known)) {
		if w.known[key].Rung > 3 {
			continue // the later second calls say the same
		}
		for _, late := range []time.Duration{0, 9 * time.Minute} {
			for _, sent := range []bool{true, false} {
				if m, reason := w.voice.Entry(k, w.known[key], sent, w.now.Add(late)); reason == "" {
					w.lintLong(key, k, m, linesAtMost(w.known[key]))
				}
			}
		}
	}
}

// linesAtMost is how many lines an entry's message may have.
func linesAtMost(e kitchen.Entry) int {
	switch e.Kind {
	case kitchen.HistoryNote, kitchen.ClosingSlip: // all that happened, all that is open
		return 15
	case kitchen.SummaryNote, kitchen.MorningNote:
		return 12
	}
	if e.Kind == kitchen.JointCall {
		return 15
	}
	if e.Kind == kitchen.RecallCall {
		return recallMost
	}
	return 6
}

func marked(e kitchen.Entry, sent bool) string {
	what := "~ edited"
	if !sent {
		what = "new, to " + e.Lane
	}
	return fmt.Sprintf("%s (%s)", e.Key, what)
}

// hear carries out a command and says the answer.
func (w *evening) hear(cmd kitchen.Command) kitchen.Answer {
	w.t.Helper()
	w.n++
	cmd.ID = fmt.Sprint("req-", w.n)
	if cmd.At.IsZero() {
		cmd.At = w.now
	}
	k := w.kitchen()
	ch, a := k.Handle(reviewReader(), reviewBook(), w.team, cmd, w.now)
	line := cmd.Text
	switch {
	case cmd.Tap != nil:
		line = "[" + cmd.Tap.Line + "]"
	case cmd.Form != nil:
		line = fmt.Sprint(cmd.Form.Name, " ", cmd.Form.Fields)
	}
	w.showLong(fmt.Sprintf("%s: %s", cmd.By.Name, line), k, w.voice.Answer(k, a), answerLines(a))
	w.lintLong("later: "+line, k, w.voice.Answer(&kitchen.Kitchen{}, a), answerLines(a)) // the batch has left
	if a.Kind == kitchen.OpenForm {
		w.form(line, w.voice.Form(k, reviewBook(), a))
	}
	w.keep(ch)
	return a
}

// says has somebody type a line; A in it stands for the vessel of the latest
// batch where that is another.
func (w *evening) says(p kitchen.Person, line string) kitchen.Answer {
	w.t.Helper()
	return w.hear(kitchen.Command{Text: line, By: p})
}

// taps has somebody tap a button of an answer.
func (w *evening) taps(p kitchen.Person, a kitchen.Answer, n int) kitchen.Answer {
	w.t.Helper()
	if n >= len(a.Choices) {
		w.t.Fatalf("answer %+v has no button %d", a, n)
	}
	return w.hear(kitchen.Command{Tap: &a.Choices[n].Tap, By: p})
}

// pass lets time go by, ringing each moment as it comes.
func (w *evening) pass(d time.Duration) {
	w.t.Helper()
	for until := w.now.Add(d); ; w.ring() {
		next := w.kitchen().Next()
		if next == 0 || next.Time().After(until) {
			w.now = until
			return
		}
		if next.Time().After(w.now) {
			w.now = next.Time().In(w.now.Location())
		}
	}
}

func (w *evening) ring() {
	w.t.Helper()
	w.keep(w.kitchen().Ring(w.now))
}

// last gives the latest batch.
func (w *evening) last() *kitchen.Batch { return w.kitchen().Batches[w.batch] }

// wrong are signs of a sentence that was put together badly.
var wrong = map[string]*regexp.Regexp{
	"a stray placeholder":       regexp.MustCompile(`[{}]|%!|<nil>`),
	"a zero time":               regexp.MustCompile(`(^|[^:\d])00:00|\b1 Jan|-\d+:\d\d`),
	"a wrong plural":            regexp.MustCompile(`\b1 (chargers|vessels|serves|cápsulas|raciones|sifones|cartouches|portions|siphons)\b|\(s\)`),
	"an empty value":            regexp.MustCompile(`  |^ | $| [,.;:!?)]|\( |\(\)|,,|\.\.|:\.|, \.|[:,]$|'' |""|\b0 (s|ml|g|chargers)\b`),
	"a bare code":               regexp.MustCompile(`not-mine|\b(done|ask|refuse|next|slip|safe|plan|note)\.[a-z]`),
	"something that reads safe": regexp.MustCompile(`\bis safe|no harm|safely\b|es seguro|sin peligro|est sûr|sans danger`),
}

// lint wants a message to be one that can go out.
func (w *evening) lint(where string, k *kitchen.Kitchen, m Message) {
	w.t.Helper()
	w.lintLong(where, k, m, 6)
}

// lintLong does so with a message that may have more than six lines.
func (w *evening) lintLong(where string, k *kitchen.Kitchen, m Message, most int) {
	w.t.Helper()
	whole := m.Plain()
	for _, b := range m.Buttons {
		whole += "\n" + b.Label + ": " + b.Tap.Line
	}
	if w.fine[whole] {
		return
	}
	w.fine[whole] = true
	lines := strings.Split(m.Plain(), "\n")
	head, _, _ := strings.Cut(w.voice.word("board", nil), ",")
	nothing, _, _ := strings.Cut(w.voice.word("board.empty", nil), ",")
	board := strings.HasPrefix(m.Plain(), head+",") || strings.HasPrefix(m.Plain(), nothing+",")
	if len(m.Lines) > most && !board { // the board shows whatever is open
		w.t.Errorf("%s: %d lines:\n%s", where, len(m.Lines), m.Plain())
	}
	for _, line := range lines {
		if len(m.Lines) == 0 {
			break // a quiet answer
		}
		w.saw(line)
		if line == "" || utf8.RuneCountInString(line) > 160 {
			w.t.Errorf("%s: a line of %d characters: %q", where, utf8.RuneCountInString(line), line)
		}
		for what, sign := range wrong {
			if sign.MatchString(line) {
				w.t.Errorf("%s: %s in %q", where, what, line)
			}
		}
	}
	for _, l := range m.Lines {
		for _, p := range l {
			if p.Person != nil && p.Person.ID == "" {
				w.t.Errorf("%s: nobody is named in %q", where, l.Plain())
			}
			if p.Code && typed(p.Text) {
				w.reads(where, k, p.Text)
			}
		}
	}
	for _, b := range m.Buttons {
		if b.Label == "" || utf8.RuneCountInString(b.Label) > 75 { // Slack's limit for a button
			w.t.Errorf("%s: button %q", where, b.Label)
		}
		w.saw(b.Label)
		w.saw(b.Sure)
		if !strings.HasPrefix(b.Tap.With, "form:") { // that opens a form
			w.reads(where, k, b.Tap.Line)
		}
	}
	if len(m.Buttons) > 5 && !board && most != recallMost { // a recall has two for each batch
		w.t.Errorf("%s: %d buttons", where, len(m.Buttons))
	}
}

// note notes how many safety notes a message holds: as many in every language.
func (w *evening) note(where string, m Message) {
	if w.paper == nil {
		return
	}
	n := 0
	for _, l := range m.Lines {
		if w.safes[l.Plain()] {
			n++
		}
	}
	// Lines that are said in the evening's own language are known by the English one.
	where = strings.NewReplacer("empieza ", "start ", "commence ", "start ", " en A", " in A", " dans A", " in A").Replace(where)
	w.notes = append(w.notes, fmt.Sprint(where, ": ", n))
}

// saw remembers a line, so that a sentence that is never said is found.
func (w *evening) saw(line string) {
	if w.paper != nil && !w.unread && line != "" {
		w.said = append(w.said, line)
	}
}

// typed says that a piece of code is a whole line to type, not a part of one.
func typed(code string) bool {
	head, _, _ := strings.Cut(code, " ")
	return slices.Contains([]string{
		"start", "charged", "set", "vented", "strained", "cleared", "labelled", "washed", "no", "gas", "take", "scrap", "undo",
		"resting", "help", "hand", "blocked", "leaking", "hurt", "fire", "who", "how", "chargers", "what", "allergens", "use", "again",
	}, head)
}

// reads wants a line that we offer to be understood by our own reader.
func (w *evening) reads(where string, k *kitchen.Kitchen, line string) {
	w.t.Helper()
	var open []request.Open
	for _, b := range k.Open() {
		open = append(open, request.Open{Batch: b.ID, Title: b.Title, Vessel: b.Vessel, Phase: string(b.Phase)})
	}
	r := reviewReader().Read(line, request.Context{Book: reviewBook(), Now: w.now, Open: open})
	if r.Request == nil {
		w.t.Errorf("%s offers %q, which reads as %+v %+v", where, line, r.Question, r.Problem)
	}
}

// cautions are the safety words of the other languages, by the English ones.
var cautions = map[string]map[string]string{
	"es": {
		"PRESSURISED": "CON PRESIÓN", "nozzle away from faces": "boquilla lejos de las caras", "away from heat": "lejos del calor",
		"no flame": "sin llama", "Silence alone is not": "El silencio solo no basta", "never turn the head": "nunca gires el cabezal",
		"manual wins": "Manda el manual", "Faces clear, no flame": "Caras lejos, sin llama", "jug over": "jarra encima",
		"upright": "en vertical",
	},
	"fr": {
		"PRESSURISED": "SOUS PRESSION", "nozzle away from faces": "buse loin des visages", "away from heat": "loin de la chaleur",
		"no flame": "pas de flamme", "Silence alone is not": "Le silence seul ne suffit pas",
		"never turn the head": "ne jamais tourner la tête", "manual wins": "Le manuel du siphon prime",
		"Faces clear, no flame": "Visages loin, pas de flamme", "jug over": "pichet dessus", "upright": "debout",
	},
}

// safe wants the safety words that belong to a message, and that a call rings
// the owner.
func (w *evening) safe(b *kitchen.Batch, e kitchen.Entry, m Message) {
	w.t.Helper()
	if b == nil { // about no batch
		return
	}
	var want []string
	gas := b.Gas() > 0
	switch e.Kind {
	case kitchen.Slip:
		switch {
		case gas && b.Phase == kitchen.Charging && b.Doubt == nil && !b.Full():
			want = []string{"PRESSURISED", "nozzle away from faces"}
		case gas && b.Phase != kitchen.Venting && b.Phase != kitchen.Scrapped && b.Doubt == nil:
			want = []string{"PRESSURISED", "away from heat", "no flame"}
		case gas:
			want = []string{"PRESSURISED", "Silence alone is not", "never turn the head"}
		case b.Phase == kitchen.Loading:
			want = []string{"nozzle away from faces", "manual wins"}
		}
	case kitchen.HeadsUp:
		want = []string{"no flame"}
	case kitchen.FallbackCall:
		want = []string{"PRESSURISED", "no flame", "Silence alone is not", "never turn the head", "upright"}
	case kitchen.VentCall, kitchen.ContactCall, kitchen.StopCall, kitchen.ChargeCall:
		if gas && len(m.Buttons) > 0 {
			want = []string{"Silence alone is not", "never turn the head"}
		}
	}
	if b.Blocked != nil {
		want = []string{"PRESSURISED", "Silence alone is not", "never turn the head", "upright"}
	} else if e.Kind == kitchen.VentCall && gas && len(m.Buttons) > 0 {
		want = append(want, "Faces clear, no flame", "jug over", "upright")
	}
	if e.Kind == kitchen.ChargeCall && gas && len(m.Buttons) > 0 {
		want = append(want, "nozzle away from faces")
	}
	for _, words := range want {
		if w.language != "" && w.language != "en" {
			words = cautions[w.language][words]
		}
		if !strings.Contains(strings.ToLower(m.Plain()), strings.ToLower(words)) {
			w.t.Errorf("%s does not say %q:\n%s", e.Key, words, m.Plain())
		}
	}
	direct := e.Kind == kitchen.OfferCall || e.Kind == kitchen.Slip || e.Kind == kitchen.HeadsUp || e.Kind == kitchen.Expired
	label, _, _ := strings.Cut(w.voice.word("label.unweighed", nil), " ")
	if !direct && !e.Edit && len(m.Buttons) > 0 && !strings.HasPrefix(m.Plain(), label+" ") && !strings.Contains(m.Plain(), "@") &&
		!strings.Contains(m.Plain(), w.voice.word("ring.nobody", nil)) {
		w.t.Errorf("%s rings nobody:\n%s", e.Key, m.Plain())
	}
}

// compare holds what was written against the golden file.
func compare(t *testing.T, golden, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if string(want) == got {
		return
	}
	old, now := strings.Split(string(want), "\n"), strings.Split(got, "\n")
	for i := range min(len(old), len(now)) {
		if old[i] != now[i] {
			t.Fatalf("line %d of %s is %q, now %q; read it and run with -update", i+1, golden, old[i], now[i])
		}
	}
	t.Fatalf("%s has %d lines, now %d; read it and run with -update", golden, len(old), len(now))
}

// elsewhere are the sentences that are not about batches; their own tests say them.
var elsewhere = []string{"topic", "kind", "glass", "why", "nth", "echo", "plan", "step"}

// unsaid gives the sentences of the catalogue that no line looks like.
func unsaid(phrases map[phrase]string, said []string) []phrase {
	slices.Sort(said)
	text := strings.Join(slices.Compact(said), "\n")
	var missing []phrase
	for name, sentence := range phrases {
		if kind, _, _ := strings.Cut(string(name), "."); slices.Contains(elsewhere, kind) {
			continue
		}
		plain := strings.NewReplacer("*", "", "`", "").Replace(sentence)
		parts := regexp.MustCompile(`\{[^}]*\}`).Split(plain, -1)
		for i, p := range parts {
			parts[i] = regexp.QuoteMeta(p)
		}
		if !regexp.MustCompile("(?m)" + strings.Join(parts, ".+")).MatchString(text) {
			missing = append(missing, name)
		}
	}
	slices.Sort(missing)
	return missing
}
