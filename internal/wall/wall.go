// Package wall serves the pages that people look at: the display on the wall with
// what is in every vessel now, and labels to print. It shows and changes nothing: a
// thing is ticked off in the chat. Whoever has the key in the link sees the pages;
// without a key there are none.
package wall

import (
	"bytes"
	"context"
	"crypto/sha256"
	"crypto/subtle"
	"embed"
	"html/template"
	"log/slog"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/voice"
)

// Looker tells how a kitchen stands.
type Looker interface {
	// Look gives a kitchen as it is now, the tags of its vessels in the order of its
	// book, and the ledger's time.
	Look(ctx context.Context, id string) (k *kitchen.Kitchen, tags []string, now time.Time, err error)
}

// Config is what the pages work with.
type Config struct {
	Kitchens []string // their ids; the first is shown where the link names none
	Looker   Looker
	Voice    voice.Voices
	// Key is what a link has to hold; empty = there are no pages, unless Open.
	Key  string
	Open bool // no key is asked for: for a practice room only
	Log  *slog.Logger
}

// refresh is how often the display reads itself anew, in seconds (our choice).
const refresh = 15

//go:embed page
var files embed.FS

// Wall is the pages.
type Wall struct {
	Config
	board, labels *template.Template
	style         template.CSS
	print         template.CSS
}

// New makes the pages.
func New(c Config) *Wall {
	slices.Sort(c.Kitchens)
	return &Wall{
		Config: c,
		board:  template.Must(template.ParseFS(files, "page/board.html")),
		labels: template.Must(template.ParseFS(files, "page/labels.html")),
		style:  style("page/board.css"), print: style("page/labels.css"),
	}
}

// style reads a style sheet of ours, which goes into its page whole.
func style(name string) template.CSS {
	body, err := files.ReadFile(name)
	if err != nil {
		panic(err) // the embedded folder is part of the program
	}
	return template.CSS(body)
}

// Handler serves /wall, /wall/labels and /wall/label/{batch}.
func (w *Wall) Handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /wall", w.showBoard)
	mux.HandleFunc("GET /wall/labels", w.showLabels)
	mux.HandleFunc("GET /wall/label/{batch}", w.showLabel)
	return w.guarded(mux)
}

// guarded lets in who has the key. Nobody else learns whether there are pages.
func (w *Wall) guarded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		if !w.may(r.URL.Query().Get("key")) {
			http.NotFound(out, r)
			return
		}
		h := out.Header()
		h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer") // the key stands in the address
		h.Set("Cache-Control", "no-store")
		h.Set("X-Robots-Tag", "noindex")
		next.ServeHTTP(out, r)
	})
}

// may compares a key in constant time, whatever its length.
func (w *Wall) may(key string) bool {
	if w.Open {
		return true
	}
	told, own := sha256.Sum256([]byte(key)), sha256.Sum256([]byte(w.Key))
	return w.Key != "" && subtle.ConstantTimeCompare(told[:], own[:]) == 1
}

// links are the addresses of the other pages, with the key that this one has.
type links struct{ query url.Values }

func linksOf(r *http.Request) links {
	own := url.Values{}
	for _, name := range []string{"key", "kitchen"} {
		if v := r.URL.Query().Get(name); v != "" {
			own.Set(name, v)
		}
	}
	return links{own}
}

func (l links) to(path string) string {
	if len(l.query) == 0 {
		return path
	}
	return path + "?" + l.query.Encode()
}

// Board is the address of the display, Labels of all labels that are waiting.
func (l links) Board() string  { return l.to("/wall") }
func (l links) Labels() string { return l.to("/wall/labels") }

// Label is the address of one label.
func (l links) Label(batch uint32) string {
	return l.to("/wall/label/" + strconv.FormatUint(uint64(batch), 10))
}

// look gives the kitchen that a link names; false once the page has been answered.
func (w *Wall) look(out http.ResponseWriter, r *http.Request) (k *kitchen.Kitchen, tags []string, now time.Time, ok bool) {
	id := r.URL.Query().Get("kitchen")
	if id == "" && len(w.Kitchens) > 0 {
		id = w.Kitchens[0]
	}
	if !slices.Contains(w.Kitchens, id) {
		http.NotFound(out, r)
		return nil, nil, now, false
	}
	k, tags, now, err := w.Looker.Look(r.Context(), id)
	if err != nil {
		w.Log.Error("wall page not made", "kitchen", id, "err", err)
		out.Header().Set("Refresh", strconv.Itoa(refresh)) // it comes back by itself
		http.Error(out, "The ledger does not answer. This page knows nothing now: treat every vessel as under pressure.", http.StatusServiceUnavailable)
		return nil, nil, now, false
	}
	return k, tags, now, true
}

func (w *Wall) showBoard(out http.ResponseWriter, r *http.Request) {
	k, tags, now, ok := w.look(out, r)
	if !ok {
		return
	}
	w.draw(out, w.board, http.StatusOK, struct {
		voice.WallText
		Style   template.CSS
		Links   links
		Refresh int
	}{w.Voice.Wall(k, tags, kitchen.At(now)), w.style, linksOf(r), refresh})
}

// labelPage is what the page of labels is drawn from.
type labelPage struct {
	voice.WallWords
	Style template.CSS
	Links links
	Said  string // in place of labels
	List  []voice.LabelText
}

func (w *Wall) showLabels(out http.ResponseWriter, r *http.Request) {
	k, _, _, ok := w.look(out, r)
	if !ok {
		return
	}
	page := w.labelPage(k, r)
	for _, b := range k.Open() {
		if b.WaitsForLabel() {
			page.List = append(page.List, w.Voice.LabelOf(k, b))
		}
	}
	if len(page.List) == 0 {
		page.Said = page.NoLabels
	}
	w.draw(out, w.labels, http.StatusOK, page)
}

func (w *Wall) labelPage(k *kitchen.Kitchen, r *http.Request) labelPage {
	return labelPage{WallWords: w.Voice.WallWords(k), Style: w.print, Links: linksOf(r)}
}

func (w *Wall) showLabel(out http.ResponseWriter, r *http.Request) {
	k, _, _, ok := w.look(out, r)
	if !ok {
		return
	}
	page, status := w.labelPage(k, r), http.StatusOK
	n, err := strconv.ParseUint(r.PathValue("batch"), 10, 32)
	b := k.Batches[uint32(n)]
	if err != nil || b == nil || b.Phase == kitchen.Scrapped {
		page.Said, status = page.Gone, http.StatusNotFound
	} else {
		page.List = append(page.List, w.Voice.LabelOf(k, b))
	}
	w.draw(out, w.labels, status, page)
}

// draw draws a page whole before any of it goes out.
func (w *Wall) draw(out http.ResponseWriter, page *template.Template, status int, with any) {
	var body bytes.Buffer
	if err := page.Execute(&body, with); err != nil {
		w.Log.Error("wall page not drawn", "err", err)
		http.Error(out, "The page could not be drawn. Treat every vessel as under pressure.", http.StatusInternalServerError)
		return
	}
	out.Header().Set("Content-Type", "text/html; charset=utf-8")
	out.WriteHeader(status)
	_, _ = out.Write(body.Bytes()) // a reader that went away needs no answer
}
