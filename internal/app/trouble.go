package app

import (
	"cmp"
	"context"
	"crypto/rand"
	"log/slog"
	"maps"
	"slices"
	"sync"
	"time"

	"ventbell/internal/chat"
	"ventbell/internal/kitchen"
)

// troubleWords say what a door's reasons mean to who runs the service, and
// what to do about each. Those that end only when somebody acts all stand here.
var troubleWords = map[string]struct{ said, cure string }{
	"token refused": {
		"the platform refuses the token: revoked, expired or never right",
		"Install the app again and copy its bot token (xoxb-...) into VENTBELL_BOT_TOKEN",
	},
	"scope missing": {
		"the token lacks a scope", "See `ventbell check`, add the scope under OAuth & Permissions, and install the app again",
	},
	"not allowed": {
		"the platform does not let the app do it", "Ask whoever administers the workspace, or the chat server, to allow it",
	},
	"channel archived": {"the channel is archived", "Open it again, or name another in VENTBELL_KITCHENS"},
	"channel gone": {
		"there is no such channel, or it is private and the bot is not in it, or its webhook is gone",
		"Type /invite @bell there, or name another in VENTBELL_KITCHENS",
	},
	"not in channel": {"the bot is not in the channel", "Type /invite @bell there"},
	"person gone":    {"nobody of this workspace, or not to be written to", "Correct VENTBELL_MANAGERS"},
	"restricted":     {"posting there is for some only", "Let the bot post, in the channel's settings"},
	"unreachable":    {"it cannot be reached", "See that this host reaches slack.com, through its proxy if there is one"},
	"timeout":        {"it does not answer in time", "Try again; see status.slack.com"},
	"server error":   {"it has trouble of its own", "Try again; see status.slack.com"},
	"ratelimited":    {"it asks us to slow down", "Try again in a minute"},
}

func troubleSaid(reason string) string { return cmp.Or(troubleWords[reason].said, reason) }
func troubleCure(reason string) string {
	return cmp.Or(troubleWords[reason].cure, "Try again; the log says more")
}

// troubles are the lanes that take no messages for a reason that waiting does
// not mend, as this process knows them.
type troubles struct {
	gauge func(reason string, lanes int)
	now   func() time.Time
	log   *slog.Logger

	mu    sync.Mutex
	lanes map[laneOf]trouble
}

type laneOf struct{ kitchen, lane string }

type trouble struct {
	reason string
	told   time.Time
}

// untold is how long a trouble counts without being told again. The runner
// tells every ten minutes; when it does not, another replica has the lane, and
// may have found it mended.
const untold = 15 * time.Minute

// note records that a lane is stuck, or with an empty reason that it is not.
// What holds for all of the platform is logged once, with its cure; of single
// lanes the runner tells.
func (t *troubles) note(kitchenID, lane, reason string) {
	t.mu.Lock()
	defer t.mu.Unlock()
	before := t.count()
	if t.lanes == nil {
		t.lanes = map[laneOf]trouble{}
	}
	if reason == "" {
		delete(t.lanes, laneOf{kitchenID, lane})
	} else {
		t.lanes[laneOf{kitchenID, lane}] = trouble{reason, t.now()}
	}
	if chat.Everywhere(reason) && before[reason] == 0 {
		t.log.Error("the platform turns us away", "reason", reason, "cure", troubleCure(reason))
	}
	t.show(before)
}

// everywhere gives a reason that holds for all of the platform; empty if there
// is none.
func (t *troubles) everywhere() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	before := t.count()
	maps.DeleteFunc(t.lanes, func(_ laneOf, x trouble) bool { return t.now().Sub(x.told) > untold })
	t.show(before)
	for _, reason := range slices.Sorted(maps.Keys(t.count())) {
		if chat.Everywhere(reason) {
			return reason
		}
	}
	return ""
}

// count counts the lanes by reason; t.mu is held.
func (t *troubles) count() map[string]int {
	n := map[string]int{}
	for _, x := range t.lanes {
		n[x.reason]++
	}
	return n
}

// show has the gauge show what differs from before; t.mu is held.
func (t *troubles) show(before map[string]int) {
	after := t.count()
	maps.Copy(before, after)
	for reason := range before {
		t.gauge(reason, after[reason])
	}
}

// stuck has a kitchen know that one of its lanes takes no messages, or takes
// them again, so that its manager is told another way. What the kitchen knows
// already changes nothing there.
func (a *App) stuck(ctx context.Context, id, lane, reason string) {
	a.troubles.note(id, lane, reason)
	_, err := a.desk.Heard(ctx, id, kitchen.Command{
		ID: "trouble:" + rand.Text(), Trouble: &kitchen.Trouble{Lane: lane, Reason: reason},
	})
	if err != nil && ctx.Err() == nil { // at a stop the next one finds out for itself
		a.log.Error("a stuck lane was not noted", "kitchen", id, "lane", lane, "reason", reason, "err", err)
	}
}
