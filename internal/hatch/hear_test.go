package hatch

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

func TestACommandIsHeardAndAnswered(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 11, 24, 18, 0, 10, 0, time.UTC)
	r := newRig(t, func(c *Config) { c.Now = func() time.Time { return at } })
	if got := r.says(t, form(" start rhubarb gin 400ml ", "trigger_id", "99.1")); got != "done: start rhubarb gin 400ml" {
		t.Errorf("answered %q", got)
	}
	want := []kitchen.Command{{
		ID: "hatch:99.1", Text: "start rhubarb gin 400ml", By: kitchen.Person{ID: "U1", Name: "bar-1"}, At: at,
	}}
	if diff := cmp.Diff(want, r.desk.commands()); diff != "" {
		t.Errorf("heard (-want +got):\n%s", diff)
	}
	if !r.LastHeard().Equal(at) {
		t.Errorf("last heard %v", r.LastHeard())
	}
}

func TestOnlyTheTokenOpens(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	for name, tc := range map[string]struct {
		token, header string
		want          int
	}{
		"in the form":              {token, "", http.StatusOK},
		"as Token":                 {"", "Token " + token, http.StatusOK},
		"as Bearer":                {"", "Bearer " + token, http.StatusOK},
		"as bearer, and a proxy's": {"", "bearer " + token, http.StatusOK},
		"Basic is another's":       {token, "Basic Zm9v", http.StatusOK},
		"none":                     {"", "", http.StatusUnauthorized},
		"wrong":                    {token + "x", "", http.StatusUnauthorized},
		"a part of it":             {token[:5], "", http.StatusUnauthorized},
		"wrong in the header":      {token, "Token wrong", http.StatusUnauthorized},
		"empty in the header":      {"", "Token ", http.StatusUnauthorized},
	} {
		var header []string
		if tc.header != "" {
			header = []string{"Authorization", tc.header}
		}
		if w := r.send(form("resting", "token", tc.token), header...); w.Code != tc.want {
			t.Errorf("%s: status %d, want %d", name, w.Code, tc.want)
		}
	}
	if n := len(r.desk.commands()); n != 5 {
		t.Errorf("%d commands were heard, want 5", n)
	}
}

func TestWhatIsNoCommandIsRefused(t *testing.T) {
	t.Parallel()
	c := &counts{}
	r := newRig(t, func(cfg *Config) { cfg.Metrics = c })
	noUser := form("resting")
	noUser.Del("user_id")
	if w := r.send(noUser); w.Code != http.StatusBadRequest {
		t.Errorf("without a user: status %d", w.Code)
	}
	if w := r.send(form(strings.Repeat("x", bodyLimit))); w.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("too long: status %d", w.Code)
	}
	if w := r.send(form("resting"), "Content-Type", "application/json"); w.Code != http.StatusUnsupportedMediaType {
		t.Errorf("JSON: status %d", w.Code)
	}
	// The token in an address would stand in every log on the way.
	req := httptest.NewRequest(http.MethodPost, "/hatch/command?"+form("resting").Encode(), nil)
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	r.Handler().ServeHTTP(w, req)
	if w.Code != http.StatusUnauthorized {
		t.Errorf("in the address: status %d", w.Code)
	}
	want := []string{"http unreadable", "http unread", "http wrong type", "http unverified"}
	if diff := cmp.Diff(want, c.list()); diff != "" {
		t.Errorf("counted (-want +got):\n%s", diff)
	}
	if len(r.desk.commands()) != 0 {
		t.Error("one of them was heard")
	}
}

func TestAChannelWithoutAKitchenSaysSo(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	if got := r.says(t, form("resting", "channel_id", "C2")); got != "no kitchen" {
		t.Errorf("answered %q", got)
	}
}

func TestADoublePostWithinASecondIsOneCommand(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 24, 18, 0, 10, 900_000_000, time.UTC)
	r := newRig(t, func(c *Config) { c.Now = func() time.Time { return now } })
	id := func(more ...string) string {
		r.says(t, form("charged A", more...))
		heard := r.desk.commands()
		return heard[len(heard)-1].ID
	}
	first := id()
	now = now.Add(200 * time.Millisecond) // the clock's next second
	if again := id(); again != first {
		t.Errorf("posted twice it is %s and %s", first, again)
	}
	for name, more := range map[string][]string{
		"of somebody else": {"user_id", "U2"}, "said otherwise": {"text", "charged B"}, "in another team": {"team_id", "T2"},
	} {
		if other := id(more...); other == first {
			t.Errorf("%s it is the same command", name)
		}
	}
	now = now.Add(time.Second)
	if later := id(); later == first {
		t.Error("a second later it is the same command")
	}
}

func TestTwoReplicasKnowADoublePostWithinTheSameSecond(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 24, 18, 0, 10, 0, time.UTC)
	var ids []string
	for range 2 {
		r := newRig(t, func(c *Config) { c.Now = func() time.Time { return now } })
		r.says(t, form("charged A"))
		ids = append(ids, r.desk.commands()[0].ID)
		now = now.Add(900 * time.Millisecond)
	}
	if ids[0] != ids[1] {
		t.Errorf("the replicas say %s", ids)
	}
}

func TestALateOutcomeIsToldAfterwards(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		reply func(s *server) string
		want  post
	}{
		"where the server asked for it": {
			func(s *server) string { return s.URL + "/answers/7" }, post{"/answers/7", "saved\nLater: `/bell resting`"},
		},
		"in the channel, by name": {
			func(*server) string { return "" }, post{"/hooks/one", "@bar-1: saved\nLater: `/bell resting`"},
		},
		// An address that leads elsewhere is not called.
		"not at a stranger's": {
			func(*server) string { return "http://192.0.2.1/metadata" }, post{"/hooks/one", "@bar-1: saved\nLater: `/bell resting`"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t, func(c *Config) {
				c.Patience = 10 * time.Millisecond
				c.Voice = buttonVoice{}
			})
			finish := make(chan struct{})
			r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
				<-finish
				return kitchen.Answer{Line: "saved"}, nil
			}
			if got := r.says(t, form("start", "response_url", tc.reply(r.server))); got != "not saved yet" {
				t.Errorf("answered %q", got)
			}
			close(finish)
			<-r.server.more
			if got := r.server.posted(); !slices.Equal(got, []post{tc.want}) {
				t.Errorf("posted %q, want %q", got, tc.want)
			}
		})
	}
}

func TestWhoDidAStepSeesHowItsBatchStands(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.desk.state = &kitchen.Kitchen{Batches: map[uint32]*kitchen.Batch{7: {Fixed: kitchen.Fixed{Title: "rhubarb gin"}}}}
	for name, tc := range map[string]struct {
		answer kitchen.Answer
		want   string
	}{
		"a step":            {kitchen.Answer{Kind: kitchen.Done, Verb: request.Charged, Batch: 7, Line: "counted"}, "counted\nslip of rhubarb gin"},
		"a start":           {kitchen.Answer{Kind: kitchen.Done, Verb: request.Start, Batch: 7, Line: "begun"}, "begun"},
		"a question":        {kitchen.Answer{Kind: kitchen.Ask, Verb: request.Charged, Batch: 7, Line: "really?"}, "really?"},
		"a batch that left": {kitchen.Answer{Kind: kitchen.Done, Verb: request.Undo, Batch: 8, Line: "gone"}, "gone"},
	} {
		r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) { return tc.answer, nil }
		if got := r.says(t, form(name)); got != tc.want {
			t.Errorf("%s: answered %q, want %q", name, got, tc.want)
		}
	}
}

func TestAMistakeOfOursIsAnsweredToo(t *testing.T) {
	t.Parallel()
	for name, answer := range map[string]func(context.Context, kitchen.Command) (kitchen.Answer, error){
		"an error": func(context.Context, kitchen.Command) (kitchen.Answer, error) {
			return kitchen.Answer{}, errors.New("no ledger")
		},
		"a panic": func(context.Context, kitchen.Command) (kitchen.Answer, error) { panic("a mistake") },
	} {
		r := newRig(t)
		r.desk.answer = answer
		if got := r.says(t, form("resting")); got != "broken" {
			t.Errorf("%s: answered %q", name, got)
		}
	}
}
