package app

import (
	"cmp"
	"context"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/plan"
	"ventbell/internal/quantity"
)

// learning names the kitchen whose own results a plan is to rest on, as typed;
// without a kitchen there are none.
type learning struct{ kitchen, ledger string }

// read gives the kitchen as its ledger has it, and the book as it was changed from
// chat. It changes nothing.
func (l learning) read(ctx context.Context, o Options, base *book.Book) (*kitchen.Kitchen, *book.Book, error) {
	o.Ledger = cmp.Or(l.ledger, o.Ledger)
	log, err := openLogbook(ctx, o)
	if err != nil {
		return nil, nil, err
	}
	defer log.Close()
	c := changes{base: base, log: log}
	if err := c.read(ctx, l.kitchen); err != nil {
		return nil, nil, err
	}
	b, _ := kitchen.Amended(base, c.kitchen.Edited())
	return c.kitchen, b, nil
}

// resultJSON is what became of one batch; what nobody told is absent.
type resultJSON struct {
	Made     string  `json:"made,omitempty"`
	OutML    float64 `json:"out_ml,omitempty"`
	DrainedG float64 `json:"drained_g,omitempty"`
	RestS    float64 `json:"rest_s,omitempty"`
	ContactS float64 `json:"contact_s,omitempty"`
	Taste    string  `json:"taste,omitempty"`
	Solids   string  `json:"solids,omitempty"`
}

// proposalJSON is a change that the last results speak for; it is never applied.
// From, to and limits are seconds of rest, or grams of solids in 100 ml.
type proposalJSON struct {
	Figure  string  `json:"figure"`
	Why     string  `json:"why"`
	Said    int     `json:"said"`
	Of      int     `json:"of"`
	Unit    string  `json:"unit"`
	From    float64 `json:"from"`
	To      float64 `json:"to"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	SolidsG float64 `json:"solids_g,omitempty"`
	Type    string  `json:"type,omitempty"` // the line that has it so
}

func resultsOf(last []plan.Result) []resultJSON {
	var list []resultJSON
	for _, r := range last {
		x := resultJSON{
			OutML: r.Out.Millilitres(), DrainedG: r.Drained.Grams(), RestS: r.Rest.Seconds(), ContactS: r.Contact.Seconds(),
			Taste: string(r.Taste), Solids: string(r.Solid),
		}
		if !r.Made.IsZero() {
			x.Made = r.Made.Format(time.DateOnly)
		}
		list = append(list, x)
	}
	return list
}

func proposalOf(p *plan.Proposal) *proposalJSON {
	if p == nil {
		return nil
	}
	x := &proposalJSON{
		Figure: string(p.Figure), Why: string(p.Why), Said: p.N, Of: p.Of, Unit: "s", From: p.FromRest.Seconds(), To: p.ToRest.Seconds(),
		Low: p.LowRest.Seconds(), High: p.HighRest.Seconds(), SolidsG: p.Solids.Grams(), Type: p.Line,
	}
	if p.Figure == plan.OfRatio {
		grams := func(r quantity.Ratio) float64 { return rounded(float64(r)/float64(quantity.GramsPer100), 2) }
		x.Unit, x.From, x.To, x.Low, x.High = "g/100ml", grams(p.FromRatio), grams(p.ToRatio), grams(p.LowRatio), grams(p.HighRatio)
	}
	return x
}
