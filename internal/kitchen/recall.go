package kitchen

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/request"
)

// Recall is a lot or a batch that is taken back: every batch of it that may still
// be somewhere, each to be told binned or not found.
type Recall struct {
	V     int        `cbor:"v"`
	N     uint16     `cbor:"n"`
	Lot   string     `cbor:"l,omitempty"` // of Lot, or of one batch by its Code
	Code  string     `cbor:"c,omitempty"`
	Why   string     `cbor:"y,omitempty"`
	By    Person     `cbor:"b"`
	At    Moment     `cbor:"a"`
	Items []Recalled `cbor:"i"`
	// Rung counts the calls that were made after the first one, CallAt is when the
	// next one comes; 0 = all are accounted for.
	Rung   uint8  `cbor:"r,omitempty"`
	CallAt Moment `cbor:"m,omitempty"`
}

// Recalled is one batch that is taken back.
type Recalled struct {
	Batch  uint32 `cbor:"b"`
	Code   string `cbor:"c,omitempty"`
	Title  string `cbor:"t"`
	Vessel string `cbor:"a"`
	Made   Moment `cbor:"m"`
	UseBy  Moment `cbor:"u,omitempty"`
	// Shelf says that it was labelled and left its vessel for good.
	Shelf   bool  `cbor:"s,omitempty"`
	Binned  *Mark `cbor:"d,omitempty"`
	Missing *Mark `cbor:"f,omitempty"` // looked for and not found
}

// Done says that nothing more is asked about it.
func (x Recalled) Done() bool { return x.Binned != nil || x.Missing != nil }

// Left gives what is not accounted for.
func (r Recall) Left() []Recalled {
	return slices.DeleteFunc(slices.Clone(r.Items), Recalled.Done)
}

// Lacks is what a command cannot be answered without: records of batches that left
// the kitchen. Whoever has them puts them into Command.Records and asks again.
type Lacks struct {
	Lot      string
	Code     string
	Allergen string // of what is not past its last day; "any" = any at all
	Vessel   string // the one that left it last
}

// Has says that a batch is one of those that are lacking.
func (l Lacks) Has(b *Batch, now time.Time) bool {
	switch {
	case l.Lot != "":
		return b.ofLot(l.Lot)
	case l.Code != "":
		return strings.EqualFold(b.Code, l.Code)
	case l.Vessel != "":
		return b.Vessel == l.Vessel
	}
	kept := b.Labelled != nil && b.UseBy != 0 && dayNumber(b.UseBy.Time().In(now.Location())) >= dayNumber(now)
	return kept && (l.Allergen == AnyAllergen && len(b.Allergens) > 0 || slices.Contains(b.Allergens, l.Allergen))
}

// Day gives the business day on which a batch was made that is asked for by its
// code; false if it is asked for otherwise.
func (l Lacks) Day(zone *time.Location) (time.Time, bool) {
	if l.Code == "" {
		return time.Time{}, false
	}
	day, _, _ := strings.Cut(l.Code, "-")
	at, err := time.ParseInLocation("060102", day, zone)
	return at, err == nil
}

// AnyAllergen stands for every allergen in Lacks.
const AnyAllergen = "any"

// ofLot says that something in a batch is of a lot.
func (f Fixed) ofLot(lot string) bool {
	for _, x := range f.Lots {
		if book.Fold(x) == book.Fold(lot) {
			return true
		}
	}
	return false
}

const (
	// RecallCall is the message of a recall, edited in place; its second calls are
	// messages of their own. Its Turn is the recall's number.
	RecallCall EntryKind = "recall"

	// Traced is the answer to where a lot went and to what happened to a batch:
	// Found holds the batches, Recalls what was taken back of them.
	Traced AnswerKind = "traced"

	AskRecall      Code       = "recall"   // are the N batches of Lot or Line to be taken back?
	RefuseUntraced Code       = "untraced" // nothing of Lot or Line is known
	RefuseRecalled Code       = "recalled" // Title was taken back: bin it
	RefuseBadLot   Code       = "bad lot"  // Lot was taken back by Who, At: another one is opened
	RefuseNoCode   Code       = "no code"  // Line is no batch that is known
	ChooseRecall   ChoiceCode = "recall"   // take them back

	// recallsAtMost is how many recalls a kitchen remembers: the oldest go first of
	// which all is accounted for (our choice).
	recallsAtMost = 6
)

// recallLadder is how long after a recall began its second calls come; from then
// on every two hours. House habit, an estimate.
var recallLadder = []time.Duration{15 * time.Minute, time.Hour, 3 * time.Hour}

const recallPace = 2 * time.Hour

// lacks asks for the records that a command needs.
func (s *scene) lacks(l Lacks) (Answer, bool) {
	if s.cmd.Records != nil {
		return Answer{}, false
	}
	return Answer{Kind: Refuse, Code: RefuseUntraced, Verb: s.req.Verb, Lacks: &l, Private: true}, true
}

// gather gives the batches that a command asked for, those of the kitchen first.
func (s *scene) gather(l Lacks) []*Batch {
	now := s.now.Time().In(s.zone)
	var list []*Batch
	for _, b := range s.Open() {
		if l.Has(b, now) && !(b.Expired && len(b.Charges) == 0) {
			list = append(list, b)
		}
	}
	for _, b := range s.cmd.Records {
		if s.Batches[b.ID] == nil && l.Has(b, now) && !b.Expired {
			list = append(list, b)
		}
	}
	return list
}

// recall takes a lot or a batch back: asked once, then told to the whole team.
func (s *scene) recall() Answer {
	l := Lacks{Lot: s.req.Lot, Code: s.req.Code}
	if a, lacking := s.lacks(l); lacking {
		return a
	}
	a := Answer{Kind: Refuse, Code: RefuseUntraced, Verb: request.Recall, Lot: l.Lot, Line: l.Code, Who: s.cmd.By, At: s.now, Private: true}
	var items []Recalled
	for _, b := range s.gather(l) {
		if b.Phase == Scrapped && b.Gas() == 0 {
			continue
		}
		items = append(items, standing(b))
	}
	if i := slices.IndexFunc(s.Recalls, func(r Recall) bool { return r.of(l) }); i >= 0 {
		s.Recalls = slices.Clone(s.Recalls)
		return s.recallMore(&s.Recalls[i], items)
	}
	if len(items) == 0 && !s.lotOpen(l.Lot) {
		return a
	}
	a.N = len(items)
	if s.tap.With != "sure" {
		a.Kind, a.Code = Ask, AskRecall
		a.Choices = []Choice{{Code: ChooseRecall, N: len(items), Tap: Tap{Line: s.req.String(), With: "sure"}}}
		return a
	}
	s.Head.LastRecall++
	r := Recall{V: version, N: s.Head.LastRecall, Lot: l.Lot, Code: l.Code, Why: s.req.Text, By: s.cmd.By, At: s.now, Items: items}
	if len(items) > 0 {
		r.CallAt = s.now.Add(recallLadder[0])
	}
	list := slices.Clone(s.Recalls)
	for len(list) >= recallsAtMost {
		over := slices.IndexFunc(list, func(r Recall) bool { return r.CallAt == 0 })
		if over < 0 {
			break // something of each is still to be found
		}
		list = slices.Delete(list, over, over+1)
	}
	s.Recalls = append(list, r)
	s.closeLot(l.Lot)
	s.log(nil, "recall", "lot", l.Lot, "code", l.Code, "why", r.Why, "batches", fmt.Sprint(len(items)))
	s.postRecall(&r, 0, false)
	a.Kind, a.Code = Done, ""
	return a
}

// of says that a recall is of a lot or a batch.
func (r Recall) of(l Lacks) bool {
	return l.Lot != "" && book.Fold(r.Lot) == book.Fold(l.Lot) || l.Code != "" && strings.EqualFold(r.Code, l.Code)
}

// recallMore adds what a recall did not know of when it began.
func (s *scene) recallMore(r *Recall, items []Recalled) Answer {
	a := Answer{Kind: Already, Verb: request.Recall, Lot: r.Lot, Line: r.Code, Who: r.By, At: r.At, N: len(r.Items), Private: true}
	more := slices.DeleteFunc(items, func(x Recalled) bool {
		return slices.ContainsFunc(r.Items, func(y Recalled) bool { return y.Batch == x.Batch })
	})
	if len(more) == 0 {
		return a
	}
	r.Items = append(slices.Clone(r.Items), more...)
	r.CallAt = s.now.Add(recallLadder[0])
	s.log(nil, "recall", "lot", r.Lot, "code", r.Code, "batches", fmt.Sprint(len(r.Items)))
	r.Rung = 0
	s.postRecall(r, 0, false)
	a.Kind, a.N = Done, len(r.Items)
	return a
}

// lotOpen says that a lot is in use.
func (s *scene) lotOpen(lot string) bool {
	for _, x := range s.Lots.Open {
		if x.is(lot) {
			return true
		}
	}
	return false
}

// badLot refuses to open a lot that was taken back.
func (s *scene) badLot() (Answer, bool) {
	i := slices.IndexFunc(s.Recalls, func(r Recall) bool { return r.of(Lacks{Lot: s.req.Lot}) })
	if i < 0 {
		return Answer{}, false
	}
	r := s.Recalls[i]
	return Answer{
		Kind: Refuse, Code: RefuseBadLot, Verb: s.req.Verb, Lot: r.Lot, Title: cmp.Or(s.req.Base, s.req.Solid),
		Who: r.By, At: r.At, Private: true,
	}, true
}

// closeLot takes a lot out of use.
func (s *scene) closeLot(lot string) {
	open := maps.Clone(s.Lots.Open)
	maps.DeleteFunc(open, func(_ string, x Lot) bool { return x.is(lot) })
	s.Lots.Open = open
}

// is says that this is a lot, however it is written.
func (l Lot) is(lot string) bool { return lot != "" && book.Fold(l.Lot) == book.Fold(lot) }

// postRecall queues a recall's message: the first one, edited in place, or a
// second call.
func (s *scene) postRecall(r *Recall, rung uint8, edit bool) {
	s.queue(Entry{
		Key: Key(0, RecallCall, r.N, rung), Lane: s.Head.Team.Channel, Kind: RecallCall, Turn: r.N, Rung: rung,
		Due: s.now.Time(), Urgent: !edit, Edit: edit,
	})
}

// ringRecall calls again for what is not accounted for.
func (s *scene) ringRecall(i int) {
	s.Recalls = slices.Clone(s.Recalls)
	r := &s.Recalls[i]
	r.Rung = min(r.Rung+1, lastRung)
	if r.Rung == lastRung { // a week has gone by
		r.CallAt = 0
		return
	}
	r.CallAt = s.now.Add(recallPace)
	if int(r.Rung) < len(recallLadder) {
		r.CallAt = max(r.At.Add(recallLadder[r.Rung]), s.now.Add(time.Minute))
	}
	s.logRing(nil, "recall call", "recall", fmt.Sprint(r.N), "rung", fmt.Sprint(r.Rung), "left", fmt.Sprint(len(r.Left())))
	s.postRecall(r, r.Rung, false)
}

// RecallCircle gives who is called for a recall: whoever began it, at the second
// call everybody on shift as well, then the managers. Nobody is in it who is off
// shift, but for the managers; where that leaves nobody, they are.
func (k *Kitchen) RecallCircle(r Recall, rung uint8, now time.Time) []Person {
	people := []Person{r.By}
	if rung >= 1 {
		people = append(people, k.hands(At(now))...)
	}
	if rung >= 2 {
		people = append(people, k.Head.Team.Managers...)
	}
	list := k.present(people, At(now))
	if len(list) == 0 {
		list = k.present(k.Head.Team.Managers, At(now))
	}
	return list[:min(len(list), directAtMost)]
}

// present gives those of a list who may be called now, each once.
func (k *Kitchen) present(people []Person, now Moment) []Person {
	var list []Person
	for _, p := range people {
		if p.ID != "" && !has(list, p.ID) && !k.away(p, now) {
			list = append(list, p)
		}
	}
	return list
}

// RecallOf gives the recall of a message.
func (k *Kitchen) RecallOf(n uint16) (Recall, bool) {
	i := slices.IndexFunc(k.Recalls, func(r Recall) bool { return r.N == n })
	if i < 0 {
		return Recall{}, false
	}
	return k.Recalls[i], true
}

// TakenBack says that a batch was taken back.
func (k *Kitchen) TakenBack(b *Batch) bool {
	return slices.ContainsFunc(k.Recalls, func(r Recall) bool {
		return slices.ContainsFunc(r.Items, func(x Recalled) bool { return x.Batch == b.ID }) || r.Lot != "" && b.ofLot(r.Lot)
	})
}

// gone says that a batch was taken back and is in the bin.
func (k *Kitchen) gone(batch uint32) bool { return k.binnedBefore(batch) != nil }

// Standing gives what is known of where a batch stands, as of one that is taken
// back: also of a batch that never was.
func (k *Kitchen) Standing(b *Batch) Recalled {
	x := standing(b)
	for _, r := range k.Recalls {
		for _, y := range r.Items {
			if y.Batch == b.ID && y.Done() {
				x.Binned, x.Missing = y.Binned, y.Missing
			}
		}
	}
	return x
}

func standing(b *Batch) Recalled {
	return Recalled{
		Batch: b.ID, Code: b.Code, Title: b.Title, Vessel: b.Vessel, Made: b.Started.Done, UseBy: b.UseBy, Shelf: b.Labelled != nil,
	}
}

// traced answers where a lot went, and what happened to a batch.
func (s *scene) traced() Answer {
	l := Lacks{Lot: s.req.Lot, Code: s.req.Code}
	if s.req.Topic == request.TraceOf && l.Code == "" {
		l.Vessel = s.req.Vessel
	}
	if a, lacking := s.lacks(l); lacking {
		return a
	}
	a := Answer{
		Kind: Traced, Verb: request.Asks, Topic: s.req.Topic, Lot: l.Lot, Line: cmp.Or(l.Code, l.Vessel), At: s.now, Private: true,
		Found: s.gather(l), Recalls: s.Recalls,
	}
	slices.SortStableFunc(a.Found, func(x, y *Batch) int { return cmp.Compare(y.Started.Done, x.Started.Done) })
	if l.Vessel != "" && len(a.Found) > 1 {
		a.Found = a.Found[:1]
	}
	if len(a.Found) == 0 {
		a.Kind, a.Code = Refuse, RefuseUntraced
	}
	return a
}

// recallChores gives the next call for each thing that was taken back.
func (k *Kitchen) recallChores() []chore {
	var list []chore
	for i, r := range k.Recalls {
		list = append(list, chore{r.CallAt, func(s *scene, _ Moment) { s.ringRecall(i) }})
	}
	return list
}

func (k *Kitchen) decodeRecall(body []byte) error {
	var r Recall
	if err := decode(body, &r); err != nil {
		return err
	}
	k.Recalls = append(k.Recalls, r)
	slices.SortFunc(k.Recalls, func(x, y Recall) int { return cmp.Compare(x.N, y.N) })
	return nil
}
