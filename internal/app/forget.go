package app

import (
	"context"
	"fmt"
	"strings"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/ledger"
)

// forgetEvery is how often it is looked whether somebody was forgotten whose name
// still stands in the log (our choice).
const forgetEvery = 2 * time.Minute

// keepForgetting takes those who were forgotten out of the log and the records, at
// the start and every few minutes, until ctx ends.
func (a *App) keepForgetting(ctx context.Context) {
	tick := time.NewTicker(forgetEvery)
	defer tick.Stop()
	for {
		for _, id := range sortedKeys(a.houses.teams) {
			if err := a.forget(ctx, id); err != nil && ctx.Err() == nil {
				a.log.Warn("somebody who was forgotten still stands in the log; it is tried again", "kitchen", id, "err", err)
			}
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}

// forget rewrites the log and the records of a kitchen where somebody was forgotten,
// and has the kitchen let go of what it still knew of them.
func (a *App) forget(ctx context.Context, id string) error {
	n, tokens, err := rewriteOf(ctx, a.ledger, id)
	if err != nil || len(tokens) == 0 {
		return err
	}
	cmd := kitchen.Command{ID: "rewritten:" + strings.Join(tokens, "+"), Rewritten: tokens}
	if _, err := a.desk.Heard(ctx, id, cmd); err != nil {
		return err
	}
	a.log.Info("forgotten", "kitchen", id, "key", strings.Join(tokens, " "), "lines", n)
	return nil
}

// rewriter is a ledger that can be written anew.
type rewriter interface {
	Peek(ctx context.Context, kitchen string) (kitchen.State, error)
	Rewrite(ctx context.Context, kitchen string, with ledger.Rewriting) (changed int, err error)
}

// rewriteOf puts tokens in the place of whoever was forgotten in a kitchen, and says
// whose places those were.
func rewriteOf(ctx context.Context, l rewriter, id string) (changed int, tokens []string, err error) {
	state, err := l.Peek(ctx, id)
	if err != nil {
		return 0, nil, fmt.Errorf("look for who was forgotten: %w", err)
	}
	k, err := kitchen.Decode(id, state.Fields)
	if err != nil || len(k.Forgotten.People) == 0 {
		return 0, nil, err
	}
	for _, e := range k.Forgotten.People {
		tokens = append(tokens, e.Token)
	}
	changed, err = l.Rewrite(ctx, id, ledger.Rewriting{
		Line: k.Forgotten.Line, Record: k.Forgotten.Record, Batches: k.Head.Next,
	})
	return changed, tokens, err
}
