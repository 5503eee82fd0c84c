package chat

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/practice"
)

// stage is a door before the practice room, with a listener behind it.
type stage struct {
	*Chat
	room  *practice.Room
	desk  *listener
	hand  string // somebody in the room
	bench string // the kitchen's channel
}

// onStage opens the door to a practice room, over sockets or over signed HTTP.
func onStage(t *testing.T, overHTTP bool, answer func(context.Context, kitchen.Command) (kitchen.Answer, error)) *stage {
	t.Helper()
	var handler atomic.Pointer[http.Handler]
	door := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { (*handler.Load()).ServeHTTP(w, r) }))
	cfg := practice.Config{
		Shortcuts:        []practice.Shortcut{{ID: shortStart, Name: "Start a batch"}, {ID: shortBoard, Name: "Board"}},
		MessageShortcuts: []practice.Shortcut{{ID: shortRead, Name: "Read this"}},
	}
	if overHTTP {
		cfg.RequestURL, cfg.CommandURL, cfg.ActionURL = door.URL+"/slack/events", door.URL+"/slack/commands", door.URL+"/slack/actions"
	}
	s := &stage{room: practice.New(cfg), desk: &listener{answer: answer}}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	s.room.Start(l)
	s.hand, s.bench = s.room.AddPerson("bar-1"), s.room.AddChannel("bench")
	s.room.Join(s.bench, true)
	full := s.room.Config()
	s.Chat, err = New(Config{
		Token: full.BotToken, AppToken: full.AppToken, Secret: full.SigningSecret, API: s.room.APIURL(),
		Kitchens: map[string]string{s.bench: "bench"}, Desk: s.desk, Voice: plainVoice{},
	})
	if err != nil {
		t.Fatal(err)
	}
	s.apart = 10 * time.Millisecond
	h := s.Handler()
	handler.Store(&h)
	ctx, stop := context.WithCancel(context.WithoutCancel(t.Context()))
	ended := make(chan error, 1)
	if overHTTP {
		ended <- nil
	} else {
		go func() { ended <- s.RunSocket(ctx) }()
		if err := s.room.Connected(t.Context(), twoSockets); err != nil {
			t.Fatal(err)
		}
	}
	t.Cleanup(func() {
		stop()
		if err := take(t, ended); err != nil {
			t.Error(err)
		}
		limit, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		defer cancel()
		if err := s.Close(limit); err != nil {
			t.Error(err)
		}
		s.room.Close()
		door.Close()
		if refused := s.room.Counts().Refused; len(refused) != 0 {
			t.Errorf("the room refused %v", refused)
		}
	})
	return s
}

// see waits until a conversation shows a message with that text.
func (s *stage) see(t *testing.T, where, text string) practice.Message {
	t.Helper()
	var found practice.Message
	err := s.room.Wait(t.Context(), where, func(list []practice.Message) bool {
		i := slices.IndexFunc(list, func(m practice.Message) bool { return m.Text == text })
		if i >= 0 {
			found = list[i]
		}
		return i >= 0
	})
	if err != nil {
		t.Fatalf("%q does not come: %v", text, err)
	}
	return found
}

// form waits until a form is open.
func (s *stage) form(t *testing.T) practice.View {
	t.Helper()
	var view practice.View
	err := s.room.Wait(t.Context(), s.bench, func([]practice.Message) (open bool) {
		view, open = s.room.Form(s.hand)
		return open
	})
	if err != nil {
		t.Fatal(err)
	}
	return view
}

func TestEveryWayInWorksInThePracticeRoomOverBothTransports(t *testing.T) {
	t.Parallel()
	for name, overHTTP := range map[string]bool{"sockets": false, "HTTP": true} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := onStage(t, overHTTP, func(ctx context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
				if cmd.Open != "" || cmd.Form != nil {
					return formDesk(ctx, cmd)
				}
				return kitchen.Answer{Line: "done: " + cmd.Text}, nil
			})
			ctx, direct := t.Context(), s.room.Direct(s.hand)
			check := func(err error) {
				t.Helper()
				if err != nil {
					t.Fatal(err)
				}
			}
			// A shortcut, its form, what is wrong with it, its answer.
			_, err := s.room.Shortcut(ctx, s.hand, shortStart)
			check(err)
			if v := s.form(t); v.Title.Text != "Start" {
				t.Errorf("opened %+v", v)
			}
			res, err := s.room.Submit(ctx, s.hand, map[string]string{"Recipe": "bay vodka"})
			check(err)
			if diff := cmp.Diff(map[string]string{"field-volume": "How much?"}, res.Errors); diff != "" {
				t.Error(diff)
			}
			res, err = s.room.Submit(ctx, s.hand, map[string]string{"Volume": "400ml"})
			check(err)
			if len(res.Errors) != 0 {
				t.Errorf("objected: %v", res.Errors)
			}
			s.see(t, direct, "started bay vodka")

			// A shortcut on a message, answered to one person beside it.
			ts, err := s.room.Say(ctx, s.hand, s.bench, "rhubarb gin 400ml", "")
			check(err)
			_, err = s.room.MessageShortcut(ctx, s.hand, s.bench, ts, shortRead)
			check(err)
			s.form(t)
			_, err = s.room.Submit(ctx, s.hand, map[string]string{"Recipe": "rhubarb gin"})
			check(err)
			s.see(t, s.bench, "started rhubarb gin")

			// The own page.
			check(s.room.OpenHome(ctx, s.hand))
			check(s.room.Wait(ctx, direct, func([]practice.Message) bool {
				return strings.Contains(strings.Join(s.room.HomeLines(s.hand), "\n"), "page of bar-1")
			}))

			// A direct message, and its edit.
			ts, err = s.room.Say(ctx, s.hand, direct, "mine", "")
			check(err)
			s.see(t, direct, "done: mine")
			check(s.room.Edit(ctx, s.hand, direct, ts, "theirs"))
			if m := s.see(t, direct, "edited"); m.ThreadTS != ts {
				t.Errorf("said in %q, want %q", m.ThreadTS, ts)
			}
			check(s.room.Delete(ctx, s.hand, direct, ts))

			// A mention: it comes as a mention and as a message, and is one.
			_, err = s.room.Say(ctx, s.hand, s.bench, "@bell resting", "")
			check(err)
			s.see(t, s.bench, "done: resting")
			out, err := s.room.Command(ctx, s.hand, s.bench, "/bell", "board")
			check(err)
			if out.Message == nil || out.Message.Text != "done: board" {
				t.Errorf("answered %+v", out.Message)
			}
			var lines []string
			for _, cmd := range s.desk.commands() {
				line := cmd.Text
				if cmd.Form != nil {
					line = fmt.Sprint("form ", cmd.Form.Name, " ", cmd.Form.Fields["volume"])
				}
				if cmd.Open != "" {
					line = fmt.Sprintf("open %s %q", cmd.Open, cmd.Text)
				}
				lines = append(lines, line)
			}
			want := []string{
				`open start ""`, "form start ", "form start 400ml",
				`open reading "rhubarb gin 400ml"`, "form reading rhubarb gin 400ml", "mine", "resting", "board",
			}
			if diff := cmp.Diff(want, lines); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestNothingIsLostWhileSocketsComeAndGo(t *testing.T) {
	t.Parallel()
	heard := make(chan string, 100)
	s := onStage(t, false, func(_ context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
		heard <- cmd.Text
		return kitchen.Answer{}, nil
	})
	for i := range 12 {
		if err := s.room.Connected(t.Context(), 1); err != nil {
			t.Fatal(err)
		}
		switch i % 4 {
		case 1:
			s.room.Disconnect("refresh_requested")
		case 3:
			s.room.DropSockets()
		}
		if err := s.room.Connected(t.Context(), 1); err != nil {
			t.Fatal(err)
		}
		text := fmt.Sprint("line ", i)
		if _, err := s.room.Say(t.Context(), s.hand, s.bench, "@bell "+text, ""); err != nil {
			t.Fatal(err)
		}
		if got := take(t, heard); got != text {
			t.Errorf("heard %q, want %q", got, text)
		}
	}
	select {
	case again := <-heard:
		t.Errorf("heard %q once more", again)
	default:
	}
}
