package book

import (
	"fmt"
	"slices"
)

// checkHouse finds what the house has not answered.
func (b *Book) checkHouse() []Finding {
	var all []Finding
	h := b.House
	find := func(code FindingCode, said string) {
		all = append(all, Finding{h.FileLine, "house", code, "house: " + said})
	}
	switch h.Licensed {
	case "yes", "no":
	case "unknown":
		find(NotAnswered, "licensed is unknown: ask the licensing office whether house infusions are allowed here")
	default:
		find(NotAnswered, "not told whether house infusions are licensed here: enter licensed, yes, no or unknown")
	}
	if h.Country == "US" && h.State == "" {
		find(NoState, "in the US the law differs by state: enter state")
	}
	switch {
	case h.RoomVolume > 0 && h.AirChanges == 0:
		find(HalfRoom, "a room without air_changes, so its air is not worked out: enter both or neither")
	case h.RoomVolume == 0 && h.AirChanges > 0:
		find(HalfRoom, "air_changes without a room, so its air is not worked out: enter both or neither")
	}
	if h.Currency == "" && b.hasPrices() {
		find(NoCurrency, "prices without a currency: enter currency")
	}
	return all
}

func (b *Book) hasPrices() bool {
	return b.House.ChargerPrice > 0 ||
		slices.ContainsFunc(b.Liquids, func(l Liquid) bool { return l.Price > 0 }) ||
		slices.ContainsFunc(b.Botanicals, func(s Botanical) bool { return s.Price > 0 })
}

// checkGoods finds figures that liquids and botanicals lack.
func (b *Book) checkGoods() []Finding {
	var all []Finding
	find := func(line int, name string, code FindingCode, said string) {
		all = append(all, Finding{line, name, code, fmt.Sprintf("%s: %s", name, said)})
	}
	for _, l := range b.Liquids {
		switch {
		case l.Family == Vinegar && l.Acidity == 0:
			find(l.FileLine, l.Name, NoAcidity, "no acidity, so it keeps as a weak vinegar: read it off the bottle and enter acidity")
		case l.Family == Syrup && l.Brix == 0:
			find(l.FileLine, l.Name, NoBrix, "no Brix, so it keeps as a thin syrup: enter brix, 50 Brix for one to one by weight")
		}
	}
	for _, s := range b.Botanicals {
		if s.Refused == "" && s.Retention == 0 {
			find(s.FileLine, s.Name, NoRetention, "no retention, so its yield is told too high: enter what a gram keeps of the liquid")
		}
	}
	return all
}
