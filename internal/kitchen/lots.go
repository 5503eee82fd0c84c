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

// Lots is what of the day's making and of its ingredients goes onto labels: the
// codes that were given, and the lots that are in use.
type Lots struct {
	V    int              `cbor:"v"`
	Day  string           `cbor:"d,omitempty"` // the business day of Made
	Made map[string]uint8 `cbor:"m,omitempty"` // batches of that day, by recipe and vessel
	// Open are the lots in use, by the folded name of what they are of.
	Open map[string]Lot `cbor:"o,omitempty"`
}

// Lot is a lot of a liquid or a solid that is in use.
type Lot struct {
	Of  string `cbor:"f"` // "tequila"
	Lot string `cbor:"l"` // as its bottle or box says
	By  Person `cbor:"b"`
	At  Moment `cbor:"m"`
}

// lotsAtMost is how many lots are in use at a time, the latest (our choice).
const lotsAtMost = 40

// code gives the batch code of what is started now in a vessel: the business day,
// the recipe, the vessel, and which of that day it is.
func (s *scene) code(title, vessel string) string {
	day := businessDay(s.now.Time().In(s.zone))
	l := &s.Lots
	if l.Day != day {
		l.Day, l.Made = day, nil
	}
	of := slug(title) + "-" + slug(vessel)
	l.V, l.Made = version, maps.Clone(l.Made)
	if l.Made == nil {
		l.Made = map[string]uint8{}
	}
	l.Made[of]++
	return fmt.Sprintf("%s-%s-%d", strings.ReplaceAll(day[2:], "-", ""), of, l.Made[of])
}

// slug gives a name as it stands in a batch code: small letters and digits of
// ASCII, words joined by hyphens.
func slug(name string) string {
	var b strings.Builder
	for _, r := range book.Fold(name) {
		switch {
		case 'a' <= r && r <= 'z', '0' <= r && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	return cmp.Or(strings.TrimSuffix(b.String(), "-"), "x")
}

// lotsOf gives the lots in use of what a batch is made of, by what they are of.
func (k *Kitchen) lotsOf(f Fixed) map[string]string {
	lots := map[string]string{}
	of := []string{f.Base}
	for _, x := range f.Solids {
		of = append(of, x.Name)
	}
	for _, name := range of {
		if lot, is := k.Lots.Open[book.Fold(name)]; is && name != "" {
			lots[name] = lot.Lot
		}
	}
	if len(lots) == 0 {
		return nil
	}
	return lots
}

// openLot notes that what is filled in from now on is of another lot.
func (s *scene) openLot() Answer {
	of := cmp.Or(s.req.Base, s.req.Solid)
	old := s.Lots.Open[book.Fold(of)]
	a := Answer{Kind: Done, Verb: request.OpenLot, Title: of, Lot: s.req.Lot, Who: s.cmd.By, At: s.done, Private: true}
	if old.Lot == s.req.Lot {
		a.Kind, a.Who, a.At = Already, old.By, old.At
		return a
	}
	open := maps.Clone(s.Lots.Open)
	if open == nil {
		open = map[string]Lot{}
	}
	open[book.Fold(of)] = Lot{Of: of, Lot: s.req.Lot, By: s.cmd.By, At: s.done}
	for len(open) > lotsAtMost {
		oldest := slices.MinFunc(slices.Sorted(maps.Keys(open)), func(x, y string) int { return cmp.Compare(open[x].At, open[y].At) })
		delete(open, oldest)
	}
	s.Lots.V, s.Lots.Open = version, open
	s.log(nil, "lot opened", "of", of, "lot", s.req.Lot, "before", old.Lot)
	return a
}

// MadeDay gives the business day on which a batch was started, in a zone.
func (b *Batch) MadeDay(zone *time.Location) string {
	return businessDay(b.Started.Done.Time().In(zone))
}
