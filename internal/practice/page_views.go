package practice

import (
	"errors"
	"net/http"
)

// pageViews is what a person has open besides the messages.
type pageViews struct {
	Home *pageView `json:"home"`
	Form *pageView `json:"form"`
}

type pageView struct {
	ID     string            `json:"id"`
	Hash   string            `json:"hash"`
	Title  *Text             `json:"title"`
	Submit *Text             `json:"submit"`
	Close  *Text             `json:"close"`
	Blocks []Block           `json:"blocks"`
	Values map[string]string `json:"values"`
	Errors map[string]string `json:"errors"`
}

// onPage gives what a person has open; r.mu is held.
func (f *face) onPage() pageViews { return pageViews{f.home.onPage(), f.top().onPage()} }

func (v *View) onPage() *pageView {
	if v == nil {
		return nil
	}
	s := v.shown()
	return &pageView{s.ID, s.Hash, s.Title, s.Submit, s.Close, s.Blocks, s.Values, s.Errors}
}

func listed(list []Shortcut) []named {
	out := []named{}
	for _, s := range list {
		out = append(out, named{ID: s.ID, Name: s.Name})
	}
	return out
}

// pageShortcut uses a shortcut: on a message when its ts is given.
func (r *Room) pageShortcut(w http.ResponseWriter, req *http.Request) {
	var in struct{ As, Channel, TS, ID string }
	if !r.posting(w, req, &in) {
		return
	}
	var err error
	if in.TS == "" {
		_, err = r.Shortcut(req.Context(), in.As, in.ID)
	} else {
		_, err = r.MessageShortcut(req.Context(), in.As, in.Channel, in.TS, in.ID)
	}
	r.pageAnswer(w, err)
}

func (r *Room) pageHome(w http.ResponseWriter, req *http.Request) {
	var in struct{ As string }
	if r.posting(w, req, &in) {
		r.pageAnswer(w, r.OpenHome(req.Context(), in.As))
	}
}

// pageTapView taps a button on somebody's own page, or in their open form with
// what stands in its fields.
func (r *Room) pageTapView(w http.ResponseWriter, req *http.Request) {
	var in struct {
		As, View, Block, Action string
		Values                  map[string]string
	}
	if !r.posting(w, req, &in) {
		return
	}
	which := func(f *face) *View {
		for _, v := range []*View{f.home, f.top()} {
			if v != nil && v.ID == in.View {
				return v
			}
		}
		return nil
	}
	_, err := r.tapView(req.Context(), in.As, which, in.Values, func(block string, b Button) bool {
		return block == in.Block && b.ActionID == in.Action
	})
	r.pageAnswer(w, err)
}

// pageSubmit sends off the form that the page shows. What the service finds
// wrong comes with the feed.
func (r *Room) pageSubmit(w http.ResponseWriter, req *http.Request) {
	var in struct {
		As, View string
		Values   map[string]string
	}
	if !r.posting(w, req, &in) {
		return
	}
	err := r.stillOpen(in.As, in.View)
	if err == nil {
		_, err = r.Submit(req.Context(), in.As, in.Values)
	}
	r.pageAnswer(w, err)
}

func (r *Room) pageClose(w http.ResponseWriter, req *http.Request) {
	var in struct{ As, View string }
	if !r.posting(w, req, &in) {
		return
	}
	err := r.stillOpen(in.As, in.View)
	if err == nil {
		err = r.CloseForm(req.Context(), in.As)
	}
	r.pageAnswer(w, err)
}

// stillOpen says when another form lies over the one that the page shows.
func (r *Room) stillOpen(person, view string) error {
	if v, ok := r.Form(person); !ok || v.ID != view {
		return errors.New("this form is no longer the open one")
	}
	return nil
}
