package voice

import (
	"ventbell/internal/book"
	"ventbell/internal/kitchen"
	"ventbell/internal/quantity"
	"ventbell/internal/request"
)

// kept are the values that have a sentence said as it is of pieces that are kept:
// drained and not strained, in grams, vented slowly.
func kept(solid bool) values {
	if !solid {
		return values{}
	}
	return values{"kept": true}
}

// keptOf are those of a batch.
func keptOf(b *kitchen.Batch) values { return kept(b.KeepsSolid()) }

// solid says that a batch's pieces are kept.
func solid(b *kitchen.Batch) bool { return b.KeepsSolid() }

// text gives the words of a phrase: of pieces that are kept their own, where
// there are any.
func (v Voice) text(p phrase, vals values) (text string, ok bool) {
	if vals["kept"] == true {
		if text, ok = v.phrases[p+".kept"]; ok {
			return text, true
		}
	}
	text, ok = v.phrases[p]
	return text, ok
}

// out gives what came out of a batch.
func (v Voice) out(b *kitchen.Batch) string { return v.cameOut(b.KeepsSolid(), b.Yield, b.Drained) }

// cameOut gives what came out, or that nobody measured it.
func (v Voice) cameOut(solid bool, y quantity.Volume, drained quantity.Mass) string {
	switch {
	case solid && drained > 0:
		return v.amount(drained)
	case !solid && y > 0:
		return v.amount(y)
	}
	return v.word("unweighed", kept(solid))
}

// finishedOut gives what came out of a batch that the diary tells of.
func (v Voice) finishedOut(f kitchen.Finished) string {
	return v.cameOut(f.Product == book.SolidKept, f.Yield, f.Drained)
}

// liquidBeside tells the liquid that was measured beside pieces that are kept.
func (v Voice) liquidBeside(b *kitchen.Batch) Line {
	if !b.KeepsSolid() || b.Yield == 0 {
		return nil
	}
	return v.say("history.beside", values{"volume": v.amount(b.Yield)})
}

// safeVent says what matters at the vent of a batch, or of any where it is nil.
func (v Voice) safeVent(b *kitchen.Batch) Line {
	if b != nil {
		return v.say("safe.vent", kept(b.VentsSlowly()))
	}
	return v.say("safe.vent", nil)
}

// toType gives a verb as it is typed.
func toType(r request.Verb, solid bool) string {
	if r == request.Strained && solid {
		return "drained"
	}
	return string(r)
}
