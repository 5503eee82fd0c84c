package runner

import (
	"context"
	"fmt"
	"time"

	"ventbell/internal/voice"
)

// Poster shows messages to people.
type Poster interface {
	// Post shows a message and gives where it now stands. A failure is a
	// *Refusal where it is known what to do about it.
	Post(ctx context.Context, p Posting) (Posted, error)
	// Update replaces the message that stands at channel and ts.
	Update(ctx context.Context, channel, ts string, m voice.Message) error
	// Can says what the platform can do.
	Can() voice.Can
}

// Finder looks whether a message was taken after all.
type Finder interface {
	// Find looks for the message that was posted in lane with mark, since a
	// moment of the platform's time. With an error nothing is known.
	Find(ctx context.Context, lane, mark string, since time.Time) (at Posted, found bool, err error)
}

// Scheduler leaves messages with the platform for later.
type Scheduler interface {
	// Schedule has the platform post p by itself at a moment of its time. The
	// TS it gives is what Unschedule wants, not where a message stands.
	Schedule(ctx context.Context, p Posting, at time.Time) (Posted, error)
	// Unschedule takes it back; one that was posted or is gone is no error.
	Unschedule(ctx context.Context, at Posted) error
}

// Posting is a message on its way.
type Posting struct {
	Kitchen string // whose message it is
	Lane    string // a channel's id, or "@" and a person's id
	Thread  string // the message that it hangs below; empty = none
	Mark    string // tells this message from all others, to find it again
	Message voice.Message
}

// Posted is where a message stands.
type Posted struct {
	Channel, TS string
	// Loose: the message that it was to hang below is gone, and it stands in
	// the open.
	Loose bool
}

// Refusal is a platform's refusal to take a message.
type Refusal struct {
	Reason string        // short and fixed, fit for a metric's label: "ratelimited"
	Retry  bool          // trying again can help
	After  time.Duration // no sooner than this
	// Gone: the message to edit is no longer there; post it anew.
	Gone bool
	// Unsure: it may have been taken all the same.
	Unsure bool
	// Stuck: waiting does not mend it, somebody must do something: invite the
	// bot, mend the token, name another channel. Nothing is lost by it: what
	// waits stays, and the lane is tried now and then.
	Stuck bool
	Err   error
}

func (r *Refusal) Error() string {
	if r.Err == nil {
		return "refused: " + r.Reason
	}
	return fmt.Sprintf("refused: %s: %v", r.Reason, r.Err)
}

func (r *Refusal) Unwrap() error { return r.Err }
