package app

import (
	"context"
	"maps"
	"net/http"
	"slices"
	"time"

	"ventbell/internal/desk"
	"ventbell/internal/kitchen"
	"ventbell/internal/wall"
)

// wall gives the pages that people look at.
func (a *App) wall() http.Handler {
	return wall.New(wall.Config{
		Kitchens: slices.Sorted(maps.Keys(a.houses.teams)), Looker: looker{a.desk}, Voice: a.voices,
		Key: a.opts.WallKey, Open: a.opts.wallOpen, Log: a.log,
	}).Handler()
}

// looker looks into kitchens for the wall's pages.
type looker struct{ desk *desk.Desk }

// Look gives a kitchen as it is now, and the tags of its vessels.
func (l looker) Look(ctx context.Context, id string) (*kitchen.Kitchen, []string, time.Time, error) {
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	reply, err := l.desk.Look(ctx, id)
	if err != nil {
		return nil, nil, time.Time{}, err
	}
	var tags []string
	for _, v := range reply.Book.Vessels {
		tags = append(tags, v.Tag)
	}
	return reply.State, tags, reply.Now, nil
}
