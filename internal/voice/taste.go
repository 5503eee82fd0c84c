package voice

import (
	"strings"

	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// mostLines is how many lines a message has at most.
const mostLines = 6

// verdict gives what was said of a batch as a word.
func (v Voice) verdict(said request.Verdict) string {
	if said == "" {
		return ""
	}
	return v.word(phrase("verdict."+string(said)), nil)
}

// outcome gives all that was said of how a batch came out.
func (v Voice) outcome(a kitchen.Answer) string {
	var told []string
	for _, said := range []request.Verdict{a.Verdict, a.Also} {
		if said != "" {
			told = append(told, v.verdict(said))
		}
	}
	if a.Verb == request.Taste && (a.Volume > 0 || a.Solids > 0) {
		told = append(told, v.cameOut(a.Solids > 0, a.Volume, a.Solids))
	}
	return strings.Join(told, ", ")
}

// tasteOn puts onto a stored batch's slip what was said of it, or asks, with the
// buttons that say it or correct it.
func (v Voice) tasteOn(k *kitchen.Kitchen, b *kitchen.Batch, m Message) Message {
	said, _ := k.History.Tasted(b.ID)
	var verdicts []string
	for _, w := range []request.Verdict{said.Taste, said.Solid} {
		if w != "" {
			verdicts = append(verdicts, v.verdict(w))
		}
	}
	line := v.say("slip.taste", nil)
	if len(verdicts) > 0 {
		line = v.say("slip.tasted", values{"verdict": strings.Join(verdicts, ", ")})
	}
	m.Lines = append(m.Lines, line)
	return m.with(
		v.button(b, "button.weak", "taste weak", 0),
		v.button(b, "button.right", "taste right", 0),
		v.button(b, "button.strong", "taste strong", 0),
	)
}

// learned tells whoever starts a recipe how it came out last time, and what the
// last results speak for, as far as there is room.
func (v Voice) learned(k *kitchen.Kitchen, a kitchen.Answer, m Message) Message {
	if len(a.Last) > 0 && len(m.Lines) < mostLines {
		m.Lines = append(m.Lines, v.lastTime(a.Last[0]))
	}
	if a.Proposal == nil || len(m.Lines) >= mostLines {
		return m
	}
	m.Lines = append(m.Lines, v.proposal(*a.Proposal))
	b := k.Batches[a.Batch]
	if a.Proposal.Line == "" || b == nil || b.Phase != kitchen.Loading || len(a.Batches) != 1 {
		return m
	}
	if len(m.Lines) < mostLines {
		m.Lines = append(m.Lines, v.say("learn.type", values{"line": a.Proposal.Line}))
	}
	return m.with(Button{
		Label: v.word("button.try", values{"to": v.tryWhat(*a.Proposal)}),
		Tap:   kitchen.Tap{Line: a.Proposal.Line, Batch: b.ID, Turn: b.Turn, With: "replace"},
	})
}

// lastTime says how a batch came out.
func (v Voice) lastTime(r plan.Result) Line {
	told := []string{v.cameOut(r.Drained > 0, r.Out, r.Drained)}
	if r.Rest > 0 {
		told = append(told, v.word("learn.rest", values{"rest": quantity.Clock(r.Rest)}))
	}
	for _, w := range []request.Verdict{r.Taste, r.Solid} {
		if w != "" {
			told = append(told, v.verdict(w))
		}
	}
	vals := values{"told": strings.Join(told, ", ")}
	if r.Made.IsZero() {
		return v.say("learn.last", vals)
	}
	vals["made"] = v.date(r.Made)
	return v.say("learn.last.on", vals)
}

// proposal says what the last results speak for, and why.
func (v Voice) proposal(p plan.Proposal) Line {
	vals := values{
		"n": p.N, "of": p.Of, "verdict": v.verdict(p.Why), "from": quantity.Clock(p.FromRest), "to": quantity.Clock(p.ToRest),
		"low": quantity.Clock(p.LowRest), "high": quantity.Clock(p.HighRest),
	}
	switch p.Figure {
	case plan.OfRest:
		return v.say("learn.try.rest", vals)
	case plan.OfTime:
		return v.say("learn.keep time", vals)
	}
	vals["from"], vals["to"] = v.amount(p.FromRatio), v.amount(p.ToRatio)
	vals["low"], vals["high"] = v.amount(p.LowRatio), v.amount(p.HighRatio)
	return v.say("learn.try.ratio", vals)
}

// tryWhat gives a proposal as short as a button is.
func (v Voice) tryWhat(p plan.Proposal) string {
	if p.Figure == plan.OfRest {
		return quantity.Clock(p.ToRest)
	}
	return v.amount(p.Solids)
}

// Learned gives the last result and what the last ones speak for as plain text.
func (v Voice) Learned(p plan.Plan) []string {
	var lines []string
	for _, line := range v.whyLearned(p) {
		lines = append(lines, line.Plain())
	}
	return lines
}

// whyLearned gives the last result and what the last ones speak for, without what
// to type: the plan is under way. They come beside the other figures.
func (v Voice) whyLearned(p plan.Plan) []Line {
	var lines []Line
	if len(p.Last) > 0 {
		lines = append(lines, v.lastTime(p.Last[0]))
	}
	if p.Proposal != nil {
		lines = append(lines, v.proposal(*p.Proposal))
	}
	return lines
}
