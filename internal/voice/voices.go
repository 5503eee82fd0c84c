package voice

import (
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
)

// Answer words an answer in the language of the line that it answers; what was
// tapped, in the house's own.
func (vs Voices) Answer(k *kitchen.Kitchen, a kitchen.Answer) Message {
	house := vs.house.of(k)
	if a.Language == "" || a.Language == house.tag.String() {
		return house.answer(k, a)
	}
	return vs.For(a.Language).answer(k, a)
}

// Slip words a batch's one message, in the house's language like all that
// stands where everybody reads it.
func (vs Voices) Slip(k *kitchen.Kitchen, b *kitchen.Batch) Message { return vs.house.of(k).Slip(k, b) }

// Form words a form that an answer opens.
func (vs Voices) Form(k *kitchen.Kitchen, b *book.Book, a kitchen.Answer) Form {
	return vs.house.Form(k, b, a)
}

// Home words somebody's own page.
func (vs Voices) Home(k *kitchen.Kitchen, b *book.Book, p kitchen.Person, now time.Time) Page {
	return vs.house.Home(k, b, p, now)
}

// NotSaved says that a command is still being kept, and that the outcome follows.
func (vs Voices) NotSaved() Message { return vs.house.NotSaved() }

// Broken says that a command could not be carried out now and changed nothing.
func (vs Voices) Broken() Message { return vs.house.Broken() }

// NoKitchen says that the channel belongs to no kitchen.
func (vs Voices) NoKitchen() Message { return vs.house.NoKitchen() }

// TooLate says that a form could not be opened any more.
func (vs Voices) TooLate() Message { return vs.house.TooLate() }

// Edited says that an edited line is not read again.
func (vs Voices) Edited() Message { return vs.house.Edited() }
