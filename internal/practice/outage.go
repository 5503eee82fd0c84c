package practice

import (
	"context"
	"net/http"
	"slices"
	"time"
)

// Expel takes the bot out of the channel.
func (r *Room) Expel(channel string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if ch := r.channel(channel); ch != nil {
		ch.members = slices.DeleteFunc(ch.members, func(id string) bool { return id == botUser })
	}
}

// Archive closes the channel to new messages.
func (r *Room) Archive(channel string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if ch := r.channel(channel); ch != nil {
		ch.archived = true
	}
}

// Unarchive opens the channel again.
func (r *Room) Unarchive(channel string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if ch := r.channel(channel); ch != nil {
		ch.archived = false
	}
}

// Readmit takes the bot back into the channel.
func (r *Room) Readmit(channel string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if ch := r.channel(channel); ch != nil && !ch.has(botUser) {
		ch.members = append(ch.members, botUser)
	}
}

// SetScopes gives the bot's token these scopes from now on.
func (r *Room) SetScopes(scopes ...string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.cfg.Scopes = slices.Clone(scopes)
}

// Revoke has every method answer token_revoked, or no longer. What people do
// is sent to the service all the same.
func (r *Room) Revoke(on bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.revoked = on
}

// Down cuts the service off, or no longer: all connections are reset, and
// nothing gets through either way. People go on talking, events are tried again
// as ever, scheduled messages post, and the page works.
func (r *Room) Down(on bool) {
	r.mu.Lock()
	r.down = on
	r.mu.Unlock()
	if on {
		r.DropSockets()
	}
}

// reachable resets connections while the service is cut off.
func (r *Room) reachable(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		r.mu.Lock()
		down := r.down
		r.mu.Unlock()
		if down {
			reset(w)
			return
		}
		next.ServeHTTP(w, req)
	})
}

// Churn disturbs the open connections every so often, world time, until ctx or
// the room ends: in turn it warns the oldest that it ends soon, has the oldest
// refreshed, and breaks all of them at once.
func (r *Room) Churn(ctx context.Context, every time.Duration) {
	tick := time.NewTicker(every)
	defer tick.Stop()
	for n := 0; ; n++ {
		select {
		case <-tick.C:
		case <-ctx.Done():
			return
		case <-r.ctx.Done():
			return
		}
		switch n % 3 {
		case 0:
			r.disconnect("warning", 1)
		case 1:
			r.disconnect("refresh_requested", 1)
		case 2:
			r.DropSockets()
		}
	}
}
