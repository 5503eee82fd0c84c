package app

import (
	"context"
	"fmt"
	"time"

	"ventbell/internal/book"
)

// scene is one thing that somebody does in the shift.
type scene struct {
	clock, who string
	says       string // typed after the slash command
	on, taps   string // or a button, on the message that begins so
}

// shiftScript is the shift: rhubarb gin in A, toasted barley whisky in B, thyme
// oil in C, smoky tea rum in D. Somebody tells of a charger too many in A, B is
// vented late and stands to clear, the service is started anew while C rests,
// and the closing look finds B unlabelled.
var shiftScript = []scene{
	{clock: "17:58:00", who: "bar-1", says: "start rhubarb gin 400ml in A"},
	{clock: "17:58:20", who: "bar-2", says: "start toasted barley whisky 400ml in B"},
	{clock: "17:58:40", who: "larder", says: "thyme oil 600ml in C"},
	{clock: "18:00:00", who: "bar-1", on: "Weigh 80 g for A", taps: "Charger in"},
	{clock: "18:00:50", who: "bar-1", on: "Swirl 30 s, A", taps: "Charger in"},
	{clock: "18:02:00", who: "larder", says: "charged A"},
	{clock: "18:02:10", who: "larder", on: "Stop at 2, A", taps: "Not mine"},
	{clock: "18:02:30", who: "bar-2", says: "charged B"},
	{clock: "18:03:05", who: "bar-2", on: "Swirl 30 s, B", taps: "Charger in"},
	{clock: "18:03:40", who: "bar-1", on: "Vent 18:03, A", taps: "Empty, two silent presses"},
	{clock: "18:04:00", who: "larder", says: "charged C"},
	{clock: "18:05:00", who: "larder", says: "charged C"},
	{clock: "18:06:35", who: "bar-2", on: "Vent 18:06, B", taps: "Empty, two silent presses"},
	{clock: "18:07:10", who: "bar-1", says: "strained A 345"},
	{clock: "18:07:20", who: "floor", says: "resting"},
	{clock: "18:07:30"}, // the service is stopped and started
	{clock: "18:07:40", who: "bar-1", says: "washed A"},
	{clock: "18:07:50", who: "bar-1", says: "start smoky tea rum 200ml in D"},
	{clock: "18:08:20", who: "bar-1", says: "charged D"},
	{clock: "18:09:05", who: "bar-2", says: "strained B 330"},
	{clock: "18:09:30", who: "bar-1", says: "labelled A"},
	{clock: "18:10:00", who: "bar-1", says: "vented D"},
	{clock: "18:10:12", who: "bar-1", says: "strained D 190"},
	{clock: "18:13:50", who: "larder", on: "Vent 18:13, C", taps: "Empty, two silent presses"},
	{clock: "18:14:30", who: "bar-1", says: "labelled D"},
	{clock: "18:19:20", who: "larder", on: "Strain 18:18, C", taps: "Strained"},
	{clock: "18:24:00", who: "larder", says: "labelled C"},
	{clock: "18:36:00", who: "bar-2", on: "Draw off 18:34, B", taps: "Drawn off"},
	{clock: "18:40:00", who: "closer", says: "resting"},
	{clock: "18:46:30", who: "closer", on: "Label B", taps: "Labelled"},
	{clock: "18:47:00", who: "closer", says: "washed B"},
}

// play plays the script.
func (d *shift) play(ctx context.Context) error {
	d.expectAll()
	if err := d.begin(ctx); err != nil {
		return err
	}
	for _, s := range shiftScript {
		if err := d.until(ctx, d.at(s.clock)); err != nil {
			return err
		}
		if err := d.act(ctx, s); err != nil {
			return fmt.Errorf("at %s: %w", s.clock, err)
		}
	}
	return d.until(ctx, d.at("18:48:00"))
}

func (d *shift) act(ctx context.Context, s scene) error {
	switch {
	case s.who == "":
		return d.restart(ctx)
	case s.says != "":
		return d.says(ctx, s.who, s.says)
	}
	return d.taps(ctx, s.who, s.on, s.taps)
}

// expectAll works out from the recipes and the script, without the service,
// what the channel must see and when.
func (d *shift) expectAll() {
	gin, whisky, oil, rum := recipe("rhubarb gin"), recipe("toasted barley whisky"), recipe("thyme oil"), recipe("smoky tea rum")
	for _, slip := range []struct {
		clock, vessel string
		recipe        book.Recipe
		ml            int64
	}{{"17:58:00", "A", gin, 400}, {"17:58:20", "B", whisky, 400}, {"17:58:40", "C", oil, 600}, {"18:07:50", "D", rum, 200}} {
		grams := int64(slip.recipe.Ratio) * slip.ml / 100
		d.expect(d.at(slip.clock), fmt.Sprintf("Weigh %s g for %s", trimmed(grams), slip.vessel))
	}
	d.expect(d.at("18:02:00"), "Stop at 2, A")

	vented := func(last string, r book.Recipe) time.Time { return d.at(last).Add(r.Swirl + r.Rest.Target) }
	d.call("Vent", "A", vented("18:00:50", gin))
	lateB := vented("18:03:05", whisky)
	d.call("Vent", "B", lateB)
	step := min(max(whisky.Rest.Target/4, 15*time.Second), 30*time.Second) // by which a late vent is called again
	d.call("Vent", "B", lateB.Add(step))
	d.call("Vent", "B", lateB.Add(3*step))
	d.call("Vent", "B", lateB.Add(6*step))
	d.call("Vent", "D", vented("18:08:20", rum))
	d.call("Vent", "C", vented("18:05:00", oil))

	d.call("Strain", "A", d.at("18:03:40").Add(gin.Settle))
	d.call("Strain", "B", d.at("18:06:35").Add(whisky.Settle))
	d.call("Strain", "D", d.at("18:10:00")) // strained first
	d.call("Strain", "C", d.at("18:13:50").Add(oil.Settle))
	d.call("Draw off", "B", d.at("18:09:05").Add(whisky.Clear))
	d.expect(d.at("18:36:00").Add(10*time.Minute), "Label B")
}

// call notes a call that must come.
func (d *shift) call(what, vessel string, due time.Time) {
	d.expect(due, fmt.Sprintf("%s %s, %s", what, due.Format("15:04"), vessel))
}

// recipe gives a recipe of the sample book.
func recipe(name string) book.Recipe {
	r, _ := book.Sample().Recipe(name)
	return r
}

// trimmed writes milligrams as grams without needless zeros.
func trimmed(mg int64) string {
	if mg%1000 == 0 {
		return fmt.Sprint(mg / 1000)
	}
	return fmt.Sprintf("%.1f", float64(mg)/1000)
}
