package voice

import (
	"fmt"
	"strconv"
	"strings"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// carry has each button bring along what stands beside its line.
func (m Message) carry(beside *kitchen.Tap) Message {
	if beside != nil {
		for i := range m.Buttons {
			t := &m.Buttons[i].Tap
			t.Batch, t.Turn, t.With = beside.Batch, beside.Turn, beside.With
		}
	}
	return m
}

// Question words a question of the reader.
func (v Voice) Question(q request.Question) Message {
	m := message(v.say(phrase("question."+string(q.Code)), values{"word": short(q.Word)}), v.say("question.nothing", nil))
	for i, o := range q.Options {
		m.Buttons = append(m.Buttons, Button{Label: o.Label, Tap: kitchen.Tap{Line: o.Line}, Main: i == 0})
	}
	return m
}

// Problem words a line that was not understood, and what to type instead.
func (v Voice) Problem(p request.Problem) Message {
	return message(v.ProblemLine(p), v.Hint(p))
}

// ProblemLine says what was wrong with a line.
func (v Voice) ProblemLine(p request.Problem) Line {
	said := phrase("problem." + string(p.Code))
	if p.Code == request.UnknownVessel && len(p.Names) > 0 {
		said = "problem.unknown vessel.names"
	}
	return v.say(said, values{"word": short(p.Word), "names": strings.Join(p.Names, ", ")})
}

// Hint says what to type instead.
func (v Voice) Hint(p request.Problem) Line {
	switch {
	case len(p.Names) > 0 && p.Code == request.UnknownRecipe && p.Example != "" && p.Another == "":
		return v.say("hint.names", values{"names": strings.Join(p.Names, ", "), "line": p.Example})
	case p.Another != "":
		return v.say("hint.two", values{"line": p.Example, "another": p.Another})
	case p.Example != "":
		return v.say("hint", values{"line": p.Example})
	}
	return v.say("hint.help", nil)
}

// PlanProblem words why no plan was made, with what works as buttons.
func (v Voice) PlanProblem(p plan.Problem) Message {
	m := message(v.PlanProblemLine(p))
	if len(p.Offers) == 0 {
		m.Lines = append(m.Lines, v.PlanHint(p))
	}
	for i, o := range p.Offers {
		m.Lines = append(m.Lines, v.offerLine(o))
		m.Buttons = append(m.Buttons, Button{
			Label: v.offer(o), Tap: kitchen.Tap{Line: o.Line}, Main: i == 0,
		})
	}
	return m
}

// PlanProblemLine says why no plan was made.
func (v Voice) PlanProblemLine(p plan.Problem) Line {
	said := phrase("plan." + string(p.Code))
	if p.Code == plan.TooMuch && p.Vessel != "" {
		said = "plan.too much.vessel"
	}
	vals := values{
		"vessel": p.Vessel, "volume": v.amount(p.Volume), "count": p.Count, "name": v.term(p.Name),
		"least": quantity.Clock(p.Rest.Min), "longest": quantity.Clock(p.Rest.Max),
		"low": p.Temp.Min.Degrees(), "high": p.Temp.Max.Degrees(),
		"bar": v.figures(fmt.Sprint(p.Bar)), "stamp": p.Stamp,
	}
	if p.Code != plan.BadFigure {
		return v.say(said, vals)
	}
	if p.Range == nil {
		return v.say("plan.no figure", vals)
	}
	vals["least"] = v.figures(shortest(p.Range.Low))
	vals["most"] = strings.TrimSpace(v.figures(shortest(p.Range.High)) + " " + p.Range.Unit)
	return v.say(said, vals)
}

// shortest gives a bound of a range as short as it is.
func shortest(f float64) string { return strconv.FormatFloat(f, 'g', 6, 64) }

// PlanHint says what works instead.
func (v Voice) PlanHint(p plan.Problem) Line {
	if len(p.Offers) == 0 {
		return v.say("hint.look", nil)
	}
	line := v.say("offers", nil)
	for i, o := range p.Offers {
		if i > 0 {
			line = append(line, Piece{Text: ", "})
		}
		line = append(line, v.offerLine(o)...)
	}
	return append(line, Piece{Text: "."})
}

func (v Voice) offerLine(o plan.Offer) Line {
	return v.say("offer.line", values{"offer": v.offer(o), "line": o.Line})
}

// offer says what an offer means: how much in which vessels.
func (v Voice) offer(o plan.Offer) string {
	said := phrase("offer")
	if o.Split {
		said = "offer.split"
	}
	return v.word(said, values{"vessels": strings.Join(o.Vessel, " + "), "volume": v.amount(o.Volume)})
}

// TooLate says that a form could not be opened any more: the tap that asked
// for it was seconds ago.
func (v Voice) TooLate() Message { return message(v.say("toolate", nil)) }

// Edited says that an edited line is not read again.
func (v Voice) Edited() Message { return message(v.say("edited", nil)) }
