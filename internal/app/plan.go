package app

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
	"ventbell/internal/voice"
)

// trial is what `plan` is told to put in place of the book's figures and of the
// time, as typed; empty = not told.
type trial struct{ brim, abv, temp, charge, at string }

// planLine is `ventbell plan`: the charge and rest plan of a line, with all
// vessels of the book free. What a house learned of a recipe only its kitchen
// knows: it counts where a kitchen is named.
func planLine(ctx context.Context, args, environ []string, stdout, stderr io.Writer) (int, error) {
	var c lineCommand
	var t trial
	var l learning
	flags := c.flags("plan", stderr)
	flags.StringVar(&t.brim, "brim-ml", "", "try this brim volume, in `ml`")
	flags.StringVar(&t.abv, "abv", "", "try a liquid of this strength, in `%` by volume")
	flags.StringVar(&t.temp, "temp-c", "", "try a liquid of this temperature, in `C`")
	flags.StringVar(&t.charge, "charge-g", "", "try chargers that hold so many `g`")
	flags.StringVar(&t.at, "at", "", "plan as if it were this `time`: 18:05, or 2026-11-24T18:05:00+01:00")
	flags.StringVar(&l.kitchen, "kitchen", "", "rest on what the kitchen of this `name` learned, and on its book")
	flags.StringVar(&l.ledger, "ledger", "", "with --kitchen: the `ledger`; VENTBELL_LEDGER. One in a file must not be in use")
	if err := flags.Parse(args); err != nil {
		return exitProblem, err
	}
	c.text = strings.Join(flags.Args(), " ")
	o, err := Options{}, error(nil)
	if l.kitchen != "" {
		if o, err = parseOptions(environ); err != nil {
			return exitProblem, err
		}
		c.bookFile = cmp.Or(c.bookFile, o.Book)
	}
	b, v, zone, err := c.opened()
	if err != nil {
		return 1, err
	}
	known := &kitchen.Kitchen{}
	if l.kitchen != "" {
		if known, b, err = l.read(ctx, o, b); err != nil {
			return 1, err
		}
	}
	in, bad := t.input(time.Now().In(zone))
	p, problem := plan.Plan{}, (*problemJSON)(nil)
	if bad != nil {
		problem = planProblem(*bad, v)
	} else {
		p, problem = planText(c.text, b, v, in, known)
	}
	switch {
	case problem != nil && c.asJSON:
		return exitProblem, printJSON(stdout, problem)
	case problem != nil:
		fmt.Fprintln(stdout, problem.Problem)
		fmt.Fprintln(stdout, problem.Hint)
		return exitProblem, nil
	case c.asJSON:
		return 0, printJSON(stdout, planOf(p, v))
	}
	for _, line := range slices.Concat(v.Plan(p), v.Learned(p)) {
		fmt.Fprintln(stdout, line)
	}
	return 0, nil
}

// input reads the trial. What means nothing is a problem, never a figure.
func (t trial) input(now time.Time) (plan.Input, *plan.Problem) {
	in := plan.Input{Now: now}
	if t.at != "" {
		at, err := moment(t.at, now)
		if err != nil {
			return in, &plan.Problem{Code: plan.BadFigure, Name: "time " + t.at}
		}
		in.Now = at
	}
	for _, f := range []struct {
		said, name, unit string
		low, high, size  float64
		set              func(float64)
	}{
		{t.brim, "brim volume", "ml", 50, 20_000, float64(quantity.Millilitre), func(n float64) { in.Brim = quantity.Volume(n) }},
		{t.abv, "strength", "% vol", 0.1, 100, float64(quantity.Percent), func(n float64) { in.ABV = quantity.Strength(n) }},
		{t.charge, "charge of one charger", "g", 1, 20, float64(quantity.Gram), func(n float64) { in.Charge = quantity.Mass(n) }},
		{t.temp, "temperature", "C", -50, 150, float64(quantity.Celsius), func(n float64) {
			degrees := quantity.Temperature(n)
			in.Temp = &degrees
		}},
	} {
		if f.said == "" {
			continue
		}
		value, err := strconv.ParseFloat(f.said, 64)
		if err != nil {
			return in, &plan.Problem{Code: plan.BadFigure, Name: f.name + " " + f.said}
		}
		if !(value >= f.low && value <= f.high) { // NaN lies outside too
			return in, &plan.Problem{
				Code: plan.BadFigure, Name: f.name,
				Range: &quantity.RangeError{What: f.name, Value: value, Low: f.low, High: f.high, Unit: f.unit},
			}
		}
		f.set(math.Round(value * f.size))
	}
	return in, nil
}

// moment reads a time of day or a whole moment, in the zone of now.
func moment(s string, now time.Time) (time.Time, error) {
	if clock, err := time.Parse("15:04", s); err == nil {
		y, m, d := now.Date()
		return time.Date(y, m, d, clock.Hour(), clock.Minute(), 0, 0, now.Location()), nil
	}
	at, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return time.Time{}, fmt.Errorf("read time: %w", err)
	}
	return at.In(now.Location()), nil
}

// planText reads a line and makes its plan, or says why there is none.
func planText(text string, b *book.Book, v voice.Voice, in plan.Input, known *kitchen.Kitchen) (plan.Plan, *problemJSON) {
	reading := request.Read(text, request.Context{Book: b, Now: in.Now})
	said := readingOf(reading, v)
	switch {
	case reading.Problem != nil:
		return plan.Plan{}, &problemJSON{said.Problem, said.Hint}
	case reading.Question != nil:
		return plan.Plan{}, &problemJSON{said.Question, v.Hint(request.Problem{Example: said.Options[0]}).Plain()}
	case reading.Request.Verb != request.Start:
		example := request.Problem{Code: request.NoRecipe, Example: "start " + b.Recipes[0].Name}
		return plan.Plan{}, &problemJSON{v.ProblemLine(example).Plain(), v.Hint(example).Plain()}
	}
	p, problem := plan.Make(b, *reading.Request, b.Vessels, known.Learned(*reading.Request, in))
	if problem != nil {
		return plan.Plan{}, planProblem(*problem, v)
	}
	return p, nil
}

func planProblem(p plan.Problem, v voice.Voice) *problemJSON {
	return &problemJSON{v.PlanProblemLine(p).Plain(), v.PlanHint(p).Plain()}
}
