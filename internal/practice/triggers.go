package practice

import (
	"fmt"
	"time"
)

// triggerLife is how long a trigger_id opens a form. Source: docs.slack.dev,
// Modals. That it does so once is what views.open's errors say.
const triggerLife = 3 * time.Second

// trigger is a trigger_id that was given out.
type trigger struct {
	person string
	inForm bool // given out by something done in a form: only there can another be put on top
	until  time.Time
	used   bool
}

// openTrigger gives out a trigger_id; r.mu is held. It lives by the room's
// clock; when that runs faster than the world, as long as the world's three
// seconds, which is what the service has.
func (r *Room) openTrigger(person string, inForm bool) string {
	now := r.cfg.Clock.Now()
	life := time.Duration(float64(triggerLife) * max(1, r.cfg.Clock.Speed()))
	r.serial++
	id := fmt.Sprintf("%d.%d.%08x", now.UnixMilli(), len(r.triggers)+1, r.serial)
	r.triggers[id] = &trigger{person: person, inForm: inForm, until: now.Add(life)}
	return id
}

// usable finds a trigger that was not used yet; r.mu is held.
func (r *Room) usable(id string) (*trigger, *refusal) {
	t := r.triggers[id]
	switch {
	case t == nil:
		return nil, refuse("invalid_trigger_id")
	case t.used:
		return nil, refuse("exchanged_trigger_id")
	case r.cfg.Clock.Now().After(t.until):
		return nil, refuse("expired_trigger_id")
	}
	return t, nil
}
