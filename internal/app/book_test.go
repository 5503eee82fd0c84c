package app

import (
	"context"
	"log/slog"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"ventbell/internal/book"
	"ventbell/internal/clock"
	"ventbell/internal/practice"
	"ventbell/internal/quantity"
)

// printed runs `ventbell book` and gives what it prints.
func printed(t *testing.T, data string, args ...string) string {
	t.Helper()
	var out, problems strings.Builder
	status, err := Main(t.Context(), append([]string{"book"}, args...), []string{"VENTBELL_LEDGER=file:" + data}, &out, &problems)
	if status != 0 || err != nil {
		t.Fatalf("book %v: status %d, %v, %s", args, status, err, &problems)
	}
	return out.String()
}

// A manager changes a recipe from their own page; the next start goes by it,
// and what is exported is that book.
//
// It runs by itself: what is wrong in a form is said within the platform's three
// seconds or not at all, and thirty rooms at once can take longer.
func TestTheBookIsChangedFromChat(t *testing.T) {
	ctx, cancel := context.WithTimeout(context.WithoutCancel(t.Context()), 2*time.Minute)
	defer cancel()
	data := filepath.Join(t.TempDir(), "kitchen.db")
	s, err := newStage(ctx, clock.Wall(), "127.0.0.1:0", data, slog.New(slog.DiscardHandler))
	if err != nil {
		t.Fatal(err)
	}
	defer s.room.Close()
	_, stop, err := s.open(ctx)
	if err != nil {
		t.Fatal(err)
	}
	lead, bar1 := s.crew["prep-lead"], s.crew["bar-1"]
	form := func(title string) {
		t.Helper()
		eventually(t, title, func() bool {
			v, open := s.room.Form(lead)
			return open && v.Title.Text == title
		})
	}
	submit := func(values map[string]string) practice.Response {
		t.Helper()
		res, err := s.room.Submit(ctx, lead, values)
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	if err := s.room.OpenHome(ctx, lead); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the page", func() bool { return len(s.room.Home(lead)) > 0 })
	if _, err := s.room.TapHome(ctx, lead, "Recipes"); err != nil {
		t.Fatal(err)
	}
	form("Change a recipe")
	submit(map[string]string{"Which one": "rhubarb gin"})
	eventually(t, "the recipe's form", func() bool {
		v, open := s.room.Form(lead)
		return open && v.Values["field-ratio"] == "20 g/100ml"
	})
	if res := submit(map[string]string{"Solids in 100 ml": "plenty"}); !strings.Contains(res.Errors["field-ratio"], "20 g/100ml") {
		t.Errorf("objected with %v", res.Errors)
	}
	submit(map[string]string{"Solids in 100 ml": "25 g/100ml"})
	said := func(channel, text string) func() bool {
		return func() bool {
			return slices.ContainsFunc(s.room.Messages(channel), func(m practice.Message) bool {
				return strings.Contains(strings.Join(s.room.Lines(m), "\n"), text)
			})
		}
	}
	eventually(t, "it is saved", said(s.room.Direct(lead), "Saved: rhubarb gin."))
	if _, err := s.room.Command(ctx, bar1, s.channel, "/bell", "start rhubarb gin 400ml"); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the next start goes by it", said(s.channel, "Weigh 100 g"))
	if err := s.room.OpenHome(ctx, bar1); err != nil {
		t.Fatal(err)
	}
	eventually(t, "the hand's page", func() bool { return len(s.room.Home(bar1)) > 0 })
	if _, err := s.room.TapHome(ctx, bar1, "Recipes"); err == nil {
		t.Error("a hand's page leads to the recipes")
	}
	if n := s.room.Counts().Refused; len(n) > 0 {
		t.Errorf("the room refused %v", n)
	}
	if err := stop(); err != nil {
		t.Error(err)
	}
	exportedAsItIs(t, data)
}

func exportedAsItIs(t *testing.T, data string) {
	t.Helper()
	text := printed(t, data, "export", "--kitchen", "main")
	b, err := book.Parse([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if r, _ := b.Recipe("rhubarb gin"); r.Ratio != 25*quantity.GramsPer100 || !strings.HasPrefix(string(r.From["ratio"]), "published: prep-lead, ") {
		t.Errorf("exported %s from %s", r.Ratio, r.From["ratio"])
	}
	if len(b.Recipes) != len(book.Sample().Recipes) || !strings.Contains(text, "# How to write in it") {
		t.Error("the rest of the book is not as it was")
	}
	if got := printed(t, data, "export", "--version", "0"); got != string(book.SampleYAML()) {
		t.Error("version 0 is not the file")
	}
	if got := printed(t, data, "export", "--version", "1"); got != text {
		t.Error("version 1 is not what is there now")
	}
	history := printed(t, data, "history")
	if !strings.Contains(history, "prep-lead  recipes rhubarb gin: ratio 20 g/100ml -> 25 g/100ml\n") || strings.Count(history, "\n") != 1 {
		t.Errorf("the history is\n%s", history)
	}
}
