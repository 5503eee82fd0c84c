package practice

import (
	"context"
	"fmt"
	"strings"
)

// OpenHome has a person open their own page of the bot's. It returns when the
// service was told of it once; what it then shows comes later: Wait returns at
// its changes too.
func (r *Room) OpenHome(ctx context.Context, person string) error {
	r.mu.Lock()
	ch := r.direct(person)
	if ch == nil {
		r.mu.Unlock()
		return fmt.Errorf("open a page: nobody has the id %q", person)
	}
	ts, _ := r.stamp()
	event := fields{"type": "app_home_opened", "user": person, "channel": ch.id, "tab": "home", "event_ts": ts}
	if home := r.face(person).home; home != nil {
		event["view"] = r.viewWire(home)
	}
	first := r.deliver(event)
	r.mu.Unlock()
	return heard(ctx, first)
}

// Home gives the blocks of a person's own page as it was last shown.
func (r *Room) Home(person string) []Block {
	r.mu.Lock()
	defer r.mu.Unlock()
	if home := r.face(person).home; home != nil {
		return home.shown().Blocks
	}
	return nil
}

// HomeLines gives a person's own page as plain lines for a terminal, each row
// of buttons where it stands.
func (r *Room) HomeLines(person string) []string {
	var lines []string
	for _, b := range r.Home(person) {
		for _, t := range b.texts() {
			lines = append(lines, strings.Split(r.Plain(t.Text), "\n")...)
		}
		if row := row(b.buttons()); row != "" {
			lines = append(lines, row)
		}
	}
	return lines
}

// TapHome has a person tap the button with that label on their own page.
func (r *Room) TapHome(ctx context.Context, person, label string) (Response, error) {
	return r.tapView(ctx, person, func(f *face) *View { return f.home }, nil, labelled(label))
}
