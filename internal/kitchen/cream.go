package kitchen

import (
	"cmp"
	"slices"
	"time"

	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// Cream is cream kept charged for service: a vessel under pressure, in the fridge
// and tagged, for two days at most.
type Cream struct {
	N       uint32          `cbor:"n"` // from the same row as the batches' numbers
	Vessel  string          `cbor:"a"`
	Title   string          `cbor:"t"`
	Volume  quantity.Volume `cbor:"l,omitempty"` // 0 = not said
	By      Person          `cbor:"b"`           // who has it
	Since   Moment          `cbor:"s"`           // its first charger
	Last    Moment          `cbor:"g"`           // its last one
	Until   Moment          `cbor:"u"`           // by when it is to be emptied
	Charged int             `cbor:"c"`           // chargers in it
	Of      int             `cbor:"o"`           // that the vessel takes at most
	// Allergens are those of the recipe that it is called by, milk at least.
	Allergens []string `cbor:"x,omitempty"`

	Turn    uint16 `cbor:"r,omitempty"` // rises when its clock is set anew
	Rung    uint8  `cbor:"q,omitempty"` // calls made
	CallAt  Moment `cbor:"k"`           // the next one, or when it leaves; never 0
	Emptied *Mark  `cbor:"e,omitempty"`
	// Amiss says that more is in it than the vessel takes, or that it should not be
	// used: it is emptied at once.
	Amiss bool `cbor:"z,omitempty"`
}

const (
	// keptCharged is how long a vessel of cream stays charged at most: two days at
	// 5 °C or below. A house rule (common practice) after the 48 hours of FDA Food
	// Code 3-502.12(F) for packs without oxygen; the clause is from memory.
	keptCharged = 48 * time.Hour
	// creamAhead is how long before its end the owner hears of it (our choice).
	creamAhead = 2 * time.Hour
)

// creamSteps are when the second calls for cream come after its end, and the last
// two how they go on. House habits, an estimate.
var creamSteps = []time.Duration{10 * time.Minute, 30 * time.Minute, time.Hour, 2 * time.Hour}

// kept is what is stored of all cream.
type kept struct {
	V    int     `cbor:"v"`
	List []Cream `cbor:"l"`
}

// Creams gives the vessels of cream that are under pressure, the one to be emptied
// first before the others.
func (k *Kitchen) Creams() []Cream {
	list := slices.DeleteFunc(slices.Clone(k.Kept), func(c Cream) bool { return c.Emptied != nil })
	slices.SortStableFunc(list, func(x, y Cream) int { return cmp.Compare(x.Until, y.Until) })
	return list
}

// CreamOf gives cream by its number, also for ten minutes after it was emptied; nil
// if there is none.
func (k *Kitchen) CreamOf(n uint32) *Cream {
	if i := slices.IndexFunc(k.Kept, func(c Cream) bool { return c.N == n }); i >= 0 {
		return &k.Kept[i]
	}
	return nil
}

// CreamIn gives the cream that a vessel holds.
func (k *Kitchen) CreamIn(tag string) *Cream {
	if i := slices.IndexFunc(k.Kept, func(c Cream) bool { return c.Vessel == tag && c.Emptied == nil }); i >= 0 {
		return &k.Kept[i]
	}
	return nil
}

// cream keeps a vessel charged for service. What stands against it is said, and gas
// that is in all the same is counted.
func (s *scene) cream() Answer {
	tag := s.req.Vessel
	if c := s.CreamIn(tag); c != nil {
		return s.creamMore(c, max(s.req.Chargers, 1))
	}
	v, known := s.vessel(tag)
	if !known {
		return s.refuseNothing()
	}
	taken, is := s.takenBy(tag)
	if is && taken.Code != RefuseDirty {
		return taken
	}
	a := Answer{
		Kind: Ask, Verb: request.Cream, Vessel: tag, Title: s.req.Text, N: s.req.Chargers, Of: max(v.Limit, 1),
		Who: s.cmd.By, At: s.done, Private: true,
	}
	usable, _ := s.Usable(v, s.now)
	over := s.req.Chargers > a.Of
	high := s.req.Volume > 0 && !v.Holds(s.req.Volume, 0)
	switch {
	case s.req.Chargers == 0:
		a.Code = AskCreamMany
		for n := 1; n <= mostAsked; n++ {
			s.req.Chargers = n
			a.Choices = append(a.Choices, Choice{Code: ChooseCream, N: n, Tap: Tap{Line: s.req.String()}})
		}
		return a
	case s.tap.With == "in":
	case is:
		a.Code = AskCreamDirty
	case !usable:
		a.Code = AskCreamUnfit
	case over:
		a.Code = AskCreamOver
	case high:
		a.Code, a.Volume = AskCreamLine, v.Line
	}
	if a.Code != "" {
		a.Choices = []Choice{{Code: ChooseGasIn, N: s.req.Chargers, Tap: Tap{Line: s.req.String(), With: "in"}}}
		return a
	}
	return s.keepCream(a.Of, over || high || !usable)
}

// keepCream takes a vessel that cream was charged in. What should not have been is
// to be emptied at once.
func (s *scene) keepCream(limit int, amiss bool) Answer {
	s.Head.Next++
	c := Cream{
		N: s.Head.Next, Vessel: s.req.Vessel, Title: s.req.Text, Volume: s.req.Volume, By: s.cmd.By,
		Since: s.done, Last: s.done, Until: s.done.Add(keptCharged), Charged: s.req.Chargers, Of: limit, Turn: 1,
		Allergens: s.creamAllergens(s.req.Text),
	}
	c.CallAt = c.Until.Add(-creamAhead)
	if amiss {
		c.Amiss, c.Until, c.CallAt = true, s.now, s.now
	}
	s.Kept = append(slices.Clone(s.Kept), c)
	s.nowUsed(c.Vessel)
	kept := &s.Kept[len(s.Kept)-1]
	s.record(c.Vessel, func(r *Vessel) { r.Dirty = 0 })
	s.logCream(kept, "cream kept charged", "chargers", itoa(c.Charged), "until", c.Until.Time().Format(time.RFC3339))
	s.tookCream(kept, c.Charged)
	s.postCream(kept)
	if amiss {
		s.ringCream(kept.N, s.now)
	}
	return s.creamDone(kept)
}

// creamAllergens gives what cream is declared as: the recipe's where it is called
// by one, milk where nothing else is known.
func (s *scene) creamAllergens(title string) []string {
	if list := s.allergens(title); len(list) > 0 {
		return list
	}
	return []string{"milk"}
}

// tookCream books chargers that went into cream.
func (s *scene) tookCream(c *Cream, n int) {
	s.track()
	s.Stock.Spent.Cream += n
	s.Diary.spend(n, s.now.Time().In(s.zone))
	s.moved(nil, TookCream, -n, "vessel", c.Vessel, "title", c.Title)
}

func (s *scene) logCream(c *Cream, event string, details ...string) {
	s.log(nil, event, append([]string{"vessel", c.Vessel, "title", c.Title, "cream", itoa(int(c.N))}, details...)...)
}

// creamDone is the answer to a thing done to cream.
func (s *scene) creamDone(c *Cream) Answer {
	return Answer{
		Kind: Done, Verb: s.req.Verb, Vessel: c.Vessel, Title: c.Title, N: c.Charged, Of: c.Of, Who: c.By, At: c.Until,
		Said: s.lateSaid(), Cream: c.N, Private: true, Quiet: s.tap.Batch != 0 && !s.late,
	}
}

// creamStep carries out what is said of a vessel of cream; false where no cream is
// meant.
func (s *scene) creamStep() (Answer, bool) {
	c := s.CreamOf(s.tap.Batch)
	if s.tap.Batch == 0 && s.req.Vessel != "" {
		c = s.CreamIn(s.req.Vessel)
		if c == nil && (s.req.Verb == request.Undo || s.req.Verb == request.Emptied) {
			c = s.creamGone(s.req.Vessel)
		}
	}
	switch {
	case c == nil && s.req.Verb == request.Emptied:
		return s.refuseNothing(), true
	case c == nil:
		return Answer{}, false
	case c.Emptied != nil && s.req.Verb == request.Undo:
		return s.creamBack(c), true
	case c.Emptied != nil:
		return s.refuseCream(c, Already, "", *c.Emptied), true
	}
	switch s.req.Verb {
	case request.Emptied, request.Vented:
		if s.Vessels[c.Vessel].Blocked != nil { // only a manager says so
			s.req.Vessel = c.Vessel
			return s.freed(), true
		}
		return s.emptied(c), true
	case request.Charged, request.GasIn:
		return s.creamMore(c, 1), true
	case request.MoreGas:
		n := max(s.req.Chargers, 1)
		if s.req.InAll {
			n -= c.Charged
		}
		return s.creamMore(c, n), true
	case request.NoGas:
		return s.creamDud(c), true
	case request.Take:
		return s.takeCream(c), true
	case request.Undo:
		return s.refuseCream(c, Refuse, RefuseUndoGas, Mark{By: c.By, Done: c.Since}), true
	case request.Scrap, request.Washed, request.DeepWash, request.Checked, request.Strained:
		return s.refuseCream(c, Refuse, RefuseCream, Mark{By: c.By, Done: c.Since}), true
	}
	return Answer{}, false
}

// creamGone gives the cream that was emptied out of a vessel last.
func (s *scene) creamGone(tag string) *Cream {
	var last *Cream
	for i, c := range s.Kept {
		if c.Vessel == tag && c.Emptied != nil && (last == nil || c.Emptied.Entered > last.Emptied.Entered) {
			last = &s.Kept[i]
		}
	}
	return last
}

// refuseCream says of cream that something was done, or cannot be.
func (s *scene) refuseCream(c *Cream, kind AnswerKind, code Code, m Mark) Answer {
	return Answer{
		Kind: kind, Code: code, Verb: s.req.Verb, Vessel: c.Vessel, Title: c.Title, N: c.Charged, Of: c.Of, Who: m.By, At: m.Done,
		Cream: c.N, Private: true,
	}
}
