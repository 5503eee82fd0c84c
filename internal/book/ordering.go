package book

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// mostReorder is the most chargers that a house can mean to have left.
const mostReorder = 10_000

// weekdays are the days as a book writes them, from Sunday on.
var weekdays = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

// ordering reads how chargers are ordered. These are the supplier's and the house's
// own rules, and take no source.
func (r *reader) ordering(h *House, y houseFile) {
	if y.Cutoff.at != nil {
		at, err := time.Parse("15:04", y.Cutoff.value)
		if err != nil || at.Hour()+at.Minute() == 0 {
			r.fault(y.Cutoff.at, "charger_cutoff: write a time of day like 14:00")
		}
		h.ChargerCutoff = time.Duration(at.Hour())*time.Hour + time.Duration(at.Minute())*time.Minute
		h.ChargerLead = 1
	}
	if y.Lead.at != nil {
		days, err := aHold(y.Lead.value)
		if err != nil || days > 60 {
			r.fault(y.Lead.at, `charger_lead: write the days from the order to the delivery like "1 day"`)
		}
		h.ChargerLead = days
	}
	for _, t := range y.Delivery {
		day := slices.Index(weekdays, strings.ToLower(t.value))
		if day < 0 {
			r.fault(t.at, "charger_delivery: %q is none of %s", t.value, strings.Join(weekdays, ", "))
			continue
		}
		h.ChargerDays |= 1 << day
	}
	if y.Reorder.at != nil {
		n, err := wholeTo(y.Reorder.value, mostReorder)
		if err != nil {
			r.fault(y.Reorder.at, "charger_reorder: %v", err)
		}
		h.ChargerReorder = n
	}
	if without := append([]text{y.Lead}, y.Delivery...); h.ChargerCutoff == 0 && y.Cutoff.at == nil {
		if i := slices.IndexFunc(without, func(t text) bool { return t.at != nil }); i >= 0 {
			r.fault(without[i].at, "charger_cutoff is missing: enter until when the supplier takes an order, like 14:00")
		}
	}
}

// wholeTo reads a whole number from 1 to most.
func wholeTo(s string, most int) (int, error) {
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > most {
		return 0, fmt.Errorf("%q is no whole number from 1 to %d", s, most)
	}
	return n, nil
}
