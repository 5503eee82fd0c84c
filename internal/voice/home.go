package voice

import (
	"time"

	"ventbell/internal/book"
	"ventbell/internal/kitchen"
)

// Home words somebody's own page: for a manager what is resting, the latest
// first, today's batches, chargers and vessels; for the crew what is theirs.
func (v Voice) Home(k *kitchen.Kitchen, b *book.Book, p kitchen.Person, now time.Time) Page {
	return Page{v.Board(k, kitchen.Answer{At: kitchen.At(now)})}
}

// Form words the form that an answer opens.
func (v Voice) Form(k *kitchen.Kitchen, b *book.Book, a kitchen.Answer) Form {
	return Form{Name: string(a.Form)}
}

// Outage words the calls that an outage held up as one message; false when
// they had better go one by one.
func (v Voice) Outage(k *kitchen.Kitchen, held []kitchen.Entry, now time.Time) (Message, bool) {
	return Message{}, false
}

// Repeat marks a message that may stand there already.
func (v Voice) Repeat(m Message) Message { return m }
