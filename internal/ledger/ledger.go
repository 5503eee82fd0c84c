// Package ledger keeps kitchens: their fields and revision, the moment at which
// each is next due, the messages that wait in their lanes, what was sent, and
// the log. It has two keepers with one behaviour, Redis for several replicas
// and one file for a single process. It decides nothing: what is written the
// kitchen decided, and what is sent the runner.
package ledger

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"ventbell/internal/kitchen"
)

const (
	// keepAnswer is how long the answer to a request is known: a day, in which
	// a platform may send the same request again, and two hours to spare (our
	// choice).
	keepAnswer = 26 * time.Hour
	// parcelSize is how many entries a parcel holds at most, urgent ones apart.
	parcelSize = 64
)

// Observer is told of every operation on a ledger.
type Observer interface {
	// Operation says which operation it was ("commit"), how it ended ("ok",
	// "stale", "newer", "too big", "cancelled" or "error") and how long it took.
	Operation(name, outcome string, took time.Duration)
}

// observe tells o about an operation that began at since; it is deferred.
func observe(o Observer, name string, since time.Time, err *error) {
	if o != nil {
		o.Operation(name, outcome(*err), time.Since(since))
	}
}

func outcome(err error) string {
	switch {
	case err == nil:
		return "ok"
	case errors.Is(err, kitchen.ErrStale):
		return "stale"
	case errors.Is(err, kitchen.ErrNewer):
		return "newer"
	case errors.Is(err, kitchen.ErrTooBig):
		return "too big"
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return "cancelled"
	}
	return "error"
}

// wakes are the two things that a ledger's readers wait for.
type wakes struct{ moments, outgoing chan struct{} }

func newWakes() wakes {
	return wakes{moments: make(chan struct{}, 1), outgoing: make(chan struct{}, 1)}
}

// Moments gives a value when a commit may have brought an earlier due moment.
// A value may be missing or one too many: it saves waiting, it decides nothing.
func (w wakes) Moments() <-chan struct{} { return w.moments }

// Outgoing gives a value when entries were added to the outbox; as with
// Moments, one may be missing or one too many.
func (w wakes) Outgoing() <-chan struct{} { return w.outgoing }

func (w wakes) wake(moment, entries bool) {
	if moment {
		select {
		case w.moments <- struct{}{}:
		default:
		}
	}
	if entries {
		select {
		case w.outgoing <- struct{}{}:
		default:
		}
	}
}

// nextRev gives the revision that follows rev: the next number with a fresh
// tail, so that two histories never share a revision.
func nextRev(rev string) string {
	number, _, _ := strings.Cut(rev, "-")
	n, _ := strconv.ParseUint(number, 10, 64) // no revision yet counts as 0
	return strconv.FormatUint(n+1, 10) + "-" + tail()
}

// tail is eight random bytes, written out.
func tail() string {
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails, it says
	return hex.EncodeToString(b[:])
}

// member joins two names so that no other two give the same, whatever bytes
// they hold. What begins with member(a, "") belongs to a.
func member(a, b string) string { return strconv.Itoa(len(a)) + ":" + a + b }

// splitMember takes apart what member joined.
func splitMember(m string) (a, b string, ok bool) {
	size, rest, ok := strings.Cut(m, ":")
	n, err := strconv.Atoi(size)
	if !ok || err != nil || n < 0 || n > len(rest) {
		return "", "", false
	}
	return rest[:n], rest[n:], true
}

// dayOf names the day of the log that t belongs to; it is counted in UTC.
func dayOf(t time.Time) string { return t.UTC().Format(time.DateOnly) }

// earlier gives the earlier of two moments; a zero one is none.
func earlier(a, b time.Time) time.Time {
	if a.IsZero() || (!b.IsZero() && b.Before(a)) {
		return b
	}
	return a
}

// byMoment orders kitchens by their moments, those of one moment by their ids.
func byMoment(a, b kitchen.DueKitchen) int {
	return cmp.Or(a.At.Compare(b.At), strings.Compare(a.Kitchen, b.Kitchen))
}

// page gives limit kitchens of a list, after the first skip.
func page(list []kitchen.DueKitchen, skip, limit int) []kitchen.DueKitchen {
	from := min(max(skip, 0), len(list))
	return list[from:min(from+max(limit, 0), len(list))]
}

// errUnread says that a lane waits which this program can't read. Its other
// lanes are served.
var errUnread = errors.New("a lane can't be read")

func unreadErr(reason any) error {
	switch reason {
	case "":
		return nil
	case "newer":
		return fmt.Errorf("%w: %w", errUnread, kitchen.ErrNewer)
	}
	return errUnread
}
