package voice

import (
	"time"

	"ventbell/internal/kitchen"
)

// Voices are a house's own voice, and beside it one for each language that a
// line can be written in.
type Voices struct{ Voice }

// NewVoices gives the voices of a house that speaks a language.
func NewVoices(house string, zone *time.Location) (Voices, error) {
	v, err := New(house, zone)
	return Voices{v}, err
}

// For gives the voice for a language tag, as a platform or a reader tells it;
// the house's own where that language is not spoken or none is told.
func (vs Voices) For(tag string) Voice { return vs.in(tag) }

// Answer words an answer in the language of the line that it answers; what was
// tapped, in the house's own.
func (vs Voices) Answer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	return vs.of(k).in(a.Language).answer(k, a)
}

// Slip words a batch's one message, in the house's language like all that
// stands where everybody reads it.
func (vs Voices) Slip(k *kitchen.Kitchen, b *kitchen.Batch) Message { return vs.of(k).Slip(k, b) }
