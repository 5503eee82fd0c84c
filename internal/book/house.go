package book

import (
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

func (r *reader) house(e entry, root ast.Node) House {
	if e.node == nil {
		r.fault(root.GetToken(), "house is missing")
		return House{}
	}
	y, ok := decode[houseFile](r, e.node)
	if !ok {
		return House{}
	}
	s := r.sheet("house", text{}, e.node.GetToken())
	h := House{
		Name:         s.name("name", y.Name),
		Language:     oneOf(s, "language", y.Language, languages),
		Zone:         y.Zone.value,
		Country:      y.Country.value,
		State:        y.State.value,
		Licensed:     optionalOneOf(s, "licensed", y.Licensed, answers),
		Bottle:       figure(s, "bottle", y.Bottle, aVolume),
		Serve:        optional(s, "serve", y.Serve, aVolume),
		RoomVolume:   optional(s, "room", y.Room, aRoom),
		AirChanges:   optional(s, "air_changes", y.AirChanges, airChanges),
		Hands:        optional(s, "hands", y.Hands, aCount),
		Currency:     y.Currency.value,
		ChargerPrice: optional(s, "charger_price", y.ChargerPrice, aChargerPrice),
		Emergency:    y.Emergency.value,
		FileLine:     s.at.Position.Line,
	}
	if area, place, _ := strings.Cut(h.Zone, "/"); h.Zone != "UTC" && (area == "" || place == "") {
		r.fault(orAt(y.Zone, s), `zone: write a time zone like "Europe/Brussels"`)
	}
	if !isCode(h.Country, 2) {
		r.fault(orAt(y.Country, s), `country: write two capital letters like "BE"`)
	}
	if y.State.at != nil && !isCode(h.State, 1, 2, 3) {
		r.fault(y.State.at, `state: write the letters after the country's in its ISO 3166 code, like "IL"`)
	}
	if y.Currency.at != nil && !isCode(h.Currency, 3) {
		r.fault(y.Currency.at, `currency: write three capital letters like "EUR"`)
	}
	if y.Emergency.at != nil && !isNumber(h.Emergency) {
		r.fault(y.Emergency.at, `emergency_number: write the digits that are dialled, like 112`)
	}
	if y.FirstAid.at != nil {
		h.FirstAid = s.note("first_aid", y.FirstAid)
	}
	if y.Unlabelled.at != nil {
		days, err := aHold(y.Unlabelled.value)
		if err != nil || days < 1 || days > mostUnlabelled {
			r.fault(y.Unlabelled.at, `unlabelled_use_by: write how long what has no label at close is kept like "1 day", a week at most`)
		}
		h.UnlabelledDays = days
	}
	r.ordering(&h, y)
	h.From = s.sources(y.From)
	return h
}

// mostUnlabelled is how many days something without a label can be kept at most
// (our choice).
const mostUnlabelled = 7

// isNumber reports whether s can be dialled.
func isNumber(s string) bool {
	return len(s) >= 2 && len(s) <= 20 && !strings.ContainsFunc(s, func(r rune) bool {
		return !strings.ContainsRune("+0123456789 -", r)
	})
}

// isCode reports whether s is so many capital letters.
func isCode(s string, lengths ...int) bool {
	return slices.Contains(lengths, len(s)) && !strings.ContainsFunc(s, func(r rune) bool { return r < 'A' || r > 'Z' })
}
