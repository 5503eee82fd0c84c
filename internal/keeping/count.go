package keeping

import "slices"

// count turns the days of the table into a date: what shortens first, then the
// freezer's pauses, then the dates that nothing moves.
func (d *decision) count() {
	d.keep.KeepDays, d.keep.By = d.days(), ByTable
	if d.row.ID == "S8" && (d.c.CurdLeft || d.c.meatWashed()) {
		d.shorten(washedDays, ByWash)
	}
	d.override()
	if d.c.HoldDays > 0 {
		d.shorten(d.c.HoldDays, ByRecipe)
	}
	d.keep.UseBy = d.pause(d.keep.Start.Plus(d.keep.KeepDays - 1))
	d.endBy()
	if d.keep.UseBy.IsZero() {
		return
	}
	if d.keep.Storage != Freezer {
		d.keep.KeepDays = min(d.keep.KeepDays, d.used(d.keep.UseBy))
	}
	if d.keep.UseBy.Before(d.c.made()) {
		d.find(Finding{Act: Refuse, Code: PastAtStart, Date: d.keep.UseBy, Sources: []Source{datePassed}})
	}
}

func (d *decision) shorten(days int, by Code) {
	if days < d.keep.KeepDays {
		d.keep.KeepDays, d.keep.By = days, by
		d.find(Finding{Act: Reason, Code: by, Days: days})
	}
}

func (c *Case) meatWashed() bool {
	return slices.ContainsFunc(c.Agents, func(a Agent) bool { f, _ := a.fact(); return f.meat })
}

// override lengthens what the table says, and nothing else: not the recipe's
// hold, no law and no maker's date.
func (d *decision) override() {
	o := d.c.Override
	if o.Days <= d.keep.KeepDays {
		return
	}
	if o.By == "" || o.Document == "" {
		d.find(Finding{Act: Ask, Code: OverrideBare, Days: o.Days})
		return
	}
	for _, r := range d.rows {
		if r.Most > 0 && o.Days > r.Most {
			o.Days = r.Most
			d.find(Finding{Act: Warn, Code: OverrideTooFar, Rule: r.ID, Days: r.Most, Sources: r.Sources})
		}
	}
	if o.Days > d.keep.KeepDays {
		d.keep.KeepDays, d.keep.By = o.Days, ByOverride
		d.keep.Overridden, d.keep.Override = true, o
		d.find(Finding{Act: Reason, Code: ByOverride, Name: o.By, Days: o.Days, Sources: []Source{{Text: o.Document, Tag: SecondHand}}})
	}
}

// pause moves a last day on by the days spent in the freezer. While it is
// frozen there is no last day, only days left.
func (d *decision) pause(end Date) Date {
	for _, f := range d.c.Freezes {
		if end.Before(f.In) {
			d.find(Finding{Act: Refuse, Code: FrozenLate, Date: end, Sources: []Source{datePassed}})
			return end
		}
		if f.Out.IsZero() {
			d.keep.AfterThaw = end.Since(f.In)
			if d.row.Freezer > 0 {
				d.keep.BestFrozen = f.In.Plus(d.row.Freezer - 1)
			}
			if d.keep.AfterThaw == 0 {
				d.find(Finding{Act: Refuse, Code: NoDaysLeft, Date: end, Sources: []Source{freezingStops}})
			}
			return Date{}
		}
		if n := f.paused(); n > 0 {
			end = end.Plus(n)
			d.find(Finding{Act: Reason, Code: ByFreezing, Days: n, Sources: []Source{freezingStops}})
		}
		if end.Before(f.Out) {
			d.find(Finding{Act: Refuse, Code: NoDaysLeft, Date: f.Out, Sources: []Source{freezingStops}})
		}
	}
	return end
}

// endBy brings the last day forward to the dates that nothing moves.
func (d *decision) endBy() {
	if days := d.where.CapDays; days > 0 && d.c.alcoholic() {
		f := Finding{Act: Reason, Code: ByLaw, Name: d.where.Code, Days: days}
		if n := len(d.where.Rules); n > 0 && d.where.Known {
			f.Sources = []Source{d.where.Rules[n-1].Source}
		} else {
			f.Code = StrictestTillSaid
		}
		d.end(d.c.made().Plus(days-1), ByLaw, f)
	}
	for _, p := range d.c.Parts {
		if !p.UseBy.IsZero() {
			d.end(p.UseBy, ByIngredient, Finding{Act: Reason, Code: ByIngredient, Name: p.Name, Sources: []Source{dateMarking}})
		}
	}
	if !d.c.UnlabelledAt.IsZero() {
		d.end(d.c.UnlabelledAt.Plus(1), ByNoLabel, Finding{Act: Reason, Code: ByNoLabel, Sources: []Source{datePassed, practice}})
	}
}

func (d *decision) end(on Date, by Code, f Finding) {
	if first := earlier(d.keep.UseBy, on); first != d.keep.UseBy {
		d.keep.UseBy, d.keep.By = first, by
		f.Date = first
		d.find(f)
	}
}

// used gives how many days count up to and with end.
func (d *decision) used(end Date) int {
	days := end.Since(d.keep.Start) + 1
	for _, f := range d.c.Freezes {
		if !end.Before(f.In) {
			days -= Freeze{In: f.In, Out: earlier(f.Out, end.Plus(1))}.paused()
		}
	}
	return days
}
