package runner

import (
	"context"
	"fmt"
	"time"

	"ventbell/internal/voice"
)

// Poster shows messages to people.
type Poster interface {
	// Post shows m in lane (a channel's id, or "@" and a person's id) and
	// gives where it now stands. A failure is a *Refusal where it is known
	// what to do about it.
	Post(ctx context.Context, lane string, m voice.Message) (channel, ts string, err error)
	// Update replaces the message that stands at channel and ts.
	Update(ctx context.Context, channel, ts string, m voice.Message) error
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
	Err    error
}

func (r *Refusal) Error() string {
	if r.Err == nil {
		return "refused: " + r.Reason
	}
	return fmt.Sprintf("refused: %s: %v", r.Reason, r.Err)
}

func (r *Refusal) Unwrap() error { return r.Err }
