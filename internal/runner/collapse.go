package runner

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/kitchen"
)

const (
	// heldUp is how late a call must be to be told with others in one message.
	heldUp = time.Minute
	// outage begins the keys of such messages; the Seq of the first call follows.
	outage = "0/outage."
)

// collapse tells the calls that an outage held up in one message, before
// anything else, and gives the entries that are left to bring one by one.
func (l *lane) collapse(ctx context.Context, order []queued) []queued {
	held := l.held(order)
	d, doubtful := l.outageDoubt()
	if l.Collapse == nil || len(held) == 0 || len(held) < 2 && !doubtful {
		return order
	}
	if e := l.outageOf(held, d); !l.ready(e) || !l.mayPost(e) {
		return l.left(order, held)
	}
	held = l.applying(ctx, held)
	if len(held) == 0 || len(held) < 2 && !doubtful {
		return l.left(order, nil)
	}
	e := l.outageOf(held, d)
	l.suspect(e.Entry)
	d = l.doubts[e.Key]
	repeat, wait := l.settle(ctx, e)
	s, known := l.state.Sent[e.Key]
	switch {
	case wait:
		return l.left(order, held)
	case known:
		l.said(held, e, d, s)
		return l.left(order, held)
	case len(held) < 2:
		return l.left(order, nil)
	}
	return l.tell(ctx, order, held, e, repeat)
}

// tell posts the one message for what was held up.
func (l *lane) tell(ctx context.Context, order, held []queued, e queued, repeat bool) []queued {
	entries := make([]kitchen.Entry, len(held))
	for i, h := range held {
		entries[i] = h.Entry
	}
	now := l.ledgerTime.Now()
	m, ok := l.Collapse(l.state, entries, now)
	if !ok {
		return l.left(order, nil)
	}
	if !l.post(ctx, e, m, repeat) {
		if l.isGone(e.Key) { // given up, so they go one by one
			held = nil
		}
		return l.left(order, held)
	}
	for i, h := range held {
		if i > 0 { // the first one's the message itself has told
			l.Observe.Late(h.Kind, now.Sub(h.Due))
		}
		l.gone(h, Collapsed, "collapsed")
	}
	return l.left(order, nil)
}

// held gives the calls that are so late that an outage must have held them up.
func (l *lane) held(order []queued) (held []queued) {
	now := l.ledgerTime.Now()
	for _, e := range order {
		_, known := l.state.Sent[e.Key]
		if rings(e.Entry) && !alone(e.Kind) && !known && now.Sub(e.Due) > heldUp {
			held = append(held, e)
		}
	}
	return held
}

// alone says that messages of a kind are never told together with calls: they
// are about more than what is in a vessel.
func alone(kind kitchen.EntryKind) bool {
	switch kind {
	case kitchen.JointCall, kitchen.RecallCall, kitchen.StockCall, kitchen.OrderCall, kitchen.CountNote, kitchen.CreamSlip, kitchen.CreamCall,
		kitchen.ClosingSlip, kitchen.SummaryNote, kitchen.LeftNote, kitchen.MorningNote, kitchen.LateCall, kitchen.CoolingCall,
		kitchen.TroubleCall, kitchen.AlarmCall, kitchen.BlockCall, kitchen.OfferCall, kitchen.ClaimCall, kitchen.QuestionNote:
		return true
	}
	return false
}

// outageOf gives the message for what was held up as an entry; the outbox has
// none. With a doubt about an earlier try it is that message.
func (l *lane) outageOf(held []queued, d kitchen.Sent) queued {
	e := held[0]
	var seqs []uint64
	for _, h := range held {
		seqs = append(seqs, h.Seq)
		e.first = e.first || h.first
		e.Urgent = e.Urgent || h.Urgent
	}
	slices.Sort(seqs)
	e.Key = d.Key
	if e.Key == "" {
		e.Key = outage + strconv.FormatUint(seqs[0], 10)
	}
	e.Seq, e.Batch, e.lifter = max(seqs[len(seqs)-1], d.Seq+1), 0, ""
	l.apart[e.Key] = strings.Trim(fmt.Sprint(seqs), "[]")
	return e
}

// outageDoubt gives the doubt about an outage's message in this lane.
func (l *lane) outageDoubt() (d kitchen.Sent, ok bool) {
	for k, other := range l.doubts {
		if strings.HasPrefix(k, outage) && other.Channel == l.Lane && (!ok || other.Seq < d.Seq) {
			d, ok = other, true
		}
	}
	return d, ok
}

// applying gives what still applies of what was held up and doesn't stand
// already.
func (l *lane) applying(ctx context.Context, held []queued) (applying []queued) {
	for _, e := range held {
		if d, doubtful := l.doubts[e.Key]; doubtful {
			if found, _ := l.look(ctx, e, d); found {
				continue
			}
		}
		switch _, reason, err := l.Word(l.state, e.Entry, l.ledgerTime.Now()); {
		case err != nil: // it fails by itself
		case reason != "":
			l.drop(e, reason)
		default:
			applying = append(applying, e)
		}
	}
	return applying
}

// said takes out of the outbox what a message told that stands after all. It
// told what its digest lists; where that is not known, the mark may say that it
// was just what is held now.
func (l *lane) said(held []queued, e queued, d, s kitchen.Sent) {
	for _, h := range held {
		if d.Mark == l.markAnew(e.Key) || slices.Contains(strings.Fields(s.Digest), strconv.FormatUint(h.Seq, 10)) {
			l.gone(h, Collapsed, "collapsed")
		}
	}
	l.Sent = append(l.Sent, s)
}

// left gives the entries that are neither among these nor gone.
func (l *lane) left(order, without []queued) []queued {
	return slices.DeleteFunc(slices.Clone(order), func(e queued) bool {
		return l.isGone(e.Key) || slices.ContainsFunc(without, func(h queued) bool { return h.Key == e.Key })
	})
}

func (l *lane) isGone(k string) bool {
	return slices.ContainsFunc(l.Gone, func(g kitchen.Gone) bool { return g.Key == k })
}
