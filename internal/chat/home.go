package chat

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/runner"
)

const (
	// homeLife is how long after its person last looked at it or tapped on it
	// a page is kept fresh.
	homeLife = 30 * time.Minute
	// homePace is the least time between two drawings of a page, its person's
	// own taps apart.
	homePace = 5 * time.Second
	// homeLook is how often a page is drawn anyway: another replica may have
	// changed its kitchen. What comes out the same is not published.
	homeLook = 30 * time.Second
	// homeLimit is for drawing and publishing one page.
	homeLimit = 10 * time.Second
)

// homes are the pages of those who looked at theirs lately.
type homes struct {
	mu      sync.Mutex
	pages   map[string]*page // by person
	wake    chan struct{}
	running bool
}

// page is somebody's own page as it stands with Slack.
type page struct {
	user, kitchen string
	until         time.Time         // then it is let go
	drawn, due    time.Time         // last, next
	digest        [sha256.Size]byte // of what was published
}

func newHomes() homes { return homes{pages: map[string]*page{}, wake: make(chan struct{}, 1)} }

// lookAt keeps a person's page fresh from now on; it is drawn at once.
func (c *Chat) lookAt(a ask, where string) {
	if c.homes.touch(a, where) {
		c.later(c.keepHomes)
	}
}

// touched draws somebody's page anew after their own tap on it.
func (c *Chat) touched(a ask) {
	if where, ok := c.kitchenOf(a); ok {
		c.lookAt(a, where)
	}
}

// touch has a page drawn at once, and says whether the loop that does it must
// be started.
func (h *homes) touch(a ask, where string) (start bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	now := time.Now()
	p := h.pages[a.user]
	if p == nil || p.kitchen != where || a.fresh {
		p = &page{user: a.user, kitchen: where}
		h.pages[a.user] = p
	}
	p.until, p.due = now.Add(homeLife), now
	h.nudge()
	start, h.running = !h.running, true
	return start
}

// changed has the pages of a kitchen drawn anew, no sooner than homePace after
// they last were.
func (h *homes) changed(where string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, p := range h.pages {
		if soonest := p.drawn.Add(homePace); p.kitchen == where && p.due.After(soonest) {
			p.due = soonest
			h.nudge()
		}
	}
}

// nudge wakes the loop; the lock is held.
func (h *homes) nudge() {
	select {
	case h.wake <- struct{}{}:
	default:
	}
}

// next gives a page to draw now, or nil and how long to wait. It lets go of
// pages that nobody looked at for long.
func (h *homes) next() (*page, time.Duration) {
	h.mu.Lock()
	defer h.mu.Unlock()
	now := time.Now()
	var first *page
	for user, p := range h.pages {
		switch {
		case !now.Before(p.until):
			delete(h.pages, user)
		case first == nil || p.due.Before(first.due):
			first = p
		}
	}
	if first == nil {
		return nil, homeLife
	}
	if wait := first.due.Sub(now); wait > 0 {
		return nil, wait
	}
	first.drawn, first.due = now, now.Add(homeLook)
	return first, 0
}

// keepHomes draws pages as they fall due, one after the other, until Close.
func (c *Chat) keepHomes() {
	for c.open.Err() == nil {
		p, wait := c.homes.next()
		if p != nil {
			c.keepHome(p)
		}
		timer := time.NewTimer(wait)
		select {
		case <-timer.C:
		case <-c.homes.wake:
		case <-c.open.Done():
		}
		timer.Stop()
	}
}

// keepHome draws a page, publishes it if it changed, and says what to do when
// that fails.
func (c *Chat) keepHome(p *page) {
	err := c.drawPage(p)
	if err == nil || c.open.Err() != nil {
		return
	}
	c.cfg.Log.Warn("a page was not published", "kitchen", p.kitchen, "err", err)
	r, ok := errors.AsType[*runner.Refusal](err)
	c.homes.mu.Lock()
	defer c.homes.mu.Unlock()
	switch {
	case ok && !r.Retry:
		delete(c.homes.pages, p.user) // until its person looks again
	case ok:
		p.due = p.drawn.Add(max(homePace, r.After))
	}
}

func (c *Chat) drawPage(p *page) (err error) {
	defer func() {
		if trip := recover(); trip != nil {
			err = fmt.Errorf("panic: %v\n%s", trip, debug.Stack())
		}
	}()
	ctx, cancel := context.WithTimeout(c.open, homeLimit)
	defer cancel()
	reply, err := c.cfg.Desk.Look(ctx, p.kitchen)
	if err != nil {
		return err
	}
	who := kitchen.Person{ID: p.user, Name: c.name(ctx, ask{user: p.user})}
	view := drawHome(c.cfg.Voice.Home(reply.State, reply.Book, who, reply.Now), meta{Kitchen: p.kitchen}.String())
	body, err := json.Marshal(view)
	if err != nil {
		return fmt.Errorf("draw page: %w", err)
	}
	digest := sha256.Sum256(body)
	if digest == p.digest {
		return nil
	}
	if err := c.publishHome(ctx, p.user, view); err != nil {
		return err
	}
	p.digest = digest // only the loop reads it
	return nil
}

// stirred notes that something was posted or edited in a lane: its kitchen
// changed.
func (c *Chat) stirred(lane string) { c.homes.changed(c.cfg.Kitchens[lane]) }
