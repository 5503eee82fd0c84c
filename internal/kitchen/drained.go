package kitchen

import "ventbell/internal/book"

// KeepsSolid says that the pieces are what is kept of a batch: they are drained
// and weighed, and the gas is let go slowly.
func (f *Fixed) KeepsSolid() bool { return f.Product == book.SolidKept }

// VentsSlowly says that the gas is let go in small presses, so that the pieces
// keep their shape and the liquid in them.
func (f *Fixed) VentsSlowly() bool { return f.Vent == book.SlowVent }

// Measured says that somebody told how much came out.
func (b *Batch) Measured() bool {
	if b.KeepsSolid() {
		return b.Drained > 0
	}
	return b.Yield > 0
}

// tellsMore says that what is told of a strained batch adds to what is known.
func (s *scene) tellsMore(b *Batch) bool {
	weighed := b.KeepsSolid() && b.Drained == 0 && s.req.Solids > 0
	return weighed || b.Yield == 0 && s.req.Volume > 0
}

// measure records what came out, as far as it is told and was not before: what
// pieces that are kept weigh, and the liquid.
func (s *scene) measure(b *Batch) {
	if b.KeepsSolid() && b.Drained == 0 {
		b.Drained = s.req.Solids
	}
	if b.Yield == 0 {
		b.Yield = s.req.Volume
	}
}

// outcome gives what came out as the log has it.
func (b *Batch) outcome() []string {
	said := []string{"yield", b.Yield.String()}
	if b.KeepsSolid() {
		said = append(said, "drained", b.Drained.String())
	}
	return said
}
