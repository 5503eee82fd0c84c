package chat

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
)

func TestRequestsAreRefusedWithTheRightStatus(t *testing.T) {
	t.Parallel()
	now := time.Now()
	body := slashBody("resting", "t1")
	unsigned := httptest.NewRequest(http.MethodPost, "/slack/commands", strings.NewReader(body))
	unsigned.Header.Set("Content-Type", formType)
	signed := func(path, contentType, body string) *http.Request {
		return signedRequest(path, contentType, body, testSecret, now)
	}
	tampered := signed("/slack/commands", formType, body)
	tampered.Body = http.NoBody
	for name, tc := range map[string]struct {
		req  *http.Request
		want int
	}{
		"unsigned":           {unsigned, http.StatusUnauthorized},
		"forged":             {signedRequest("/slack/commands", formType, body, "guess", now), http.StatusUnauthorized},
		"changed under way":  {tampered, http.StatusUnauthorized},
		"six minutes old":    {signedRequest("/slack/commands", formType, body, testSecret, now.Add(-6*time.Minute)), http.StatusUnauthorized},
		"six minutes ahead":  {signedRequest("/slack/commands", formType, body, testSecret, now.Add(6*time.Minute)), http.StatusUnauthorized},
		"oversized":          {signed("/slack/commands", formType, body+"&x="+strings.Repeat("x", bodyLimit)), http.StatusRequestEntityTooLarge},
		"text":               {signed("/slack/commands", "text/plain", body), http.StatusUnsupportedMediaType},
		"no type":            {signed("/slack/events", "", eventBody(`"type":"x"`)), http.StatusUnsupportedMediaType},
		"an event as a form": {signed("/slack/events", formType, body), http.StatusUnsupportedMediaType},
		"broken form":        {signed("/slack/commands", formType, "text=%zz"), http.StatusBadRequest},
		"nobody's command":   {signed("/slack/commands", formType, "text=resting"), http.StatusBadRequest},
		"broken JSON":        {signed("/slack/events", jsonType, `{"type":"event_callback"`), http.StatusBadRequest},
		"a list":             {signed("/slack/events", jsonType, `[]`), http.StatusBadRequest},
		"no payload":         {signed("/slack/actions", formType, "x=y"), http.StatusBadRequest},
		"broken payload":     {signed("/slack/actions", formType, url.Values{"payload": {"{"}}.Encode()), http.StatusBadRequest},
		"GET":                {httptest.NewRequest(http.MethodGet, "/slack/commands", nil), http.StatusMethodNotAllowed},
		"another path":       {signed("/slack/other", formType, body), http.StatusNotFound},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t)
			if got := r.serve(tc.req).Code; got != tc.want {
				t.Errorf("status %d, want %d", got, tc.want)
			}
			r.close(t)
			if heard := r.desk.commands(); len(heard) != 0 {
				t.Errorf("the desk heard %v", heard)
			}
		})
	}
}

func TestAStaleButGenuineRequestIsLoggedWithItsSkew(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.serve(signedRequest("/slack/commands", formType, slashBody("x", "t"), testSecret, time.Now().Add(-time.Hour)))
	r.serve(signedRequest("/slack/commands", formType, slashBody("x", "t"), "guess", time.Now()))
	r.close(t)
	if log := r.log.String(); strings.Count(log, "level=WARN") != 1 || !strings.Contains(log, "1h0m") {
		t.Errorf("log:\n%s", log)
	}
}

func TestACertificateProbeIsAnsweredEmptyAndDoesNothing(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	req := httptest.NewRequest(http.MethodPost, "/slack/commands", strings.NewReader("ssl_check=1&text=scrap+A&channel_id="+channel+"&user_id=U1&trigger_id=t"))
	req.Header.Set("Content-Type", formType)
	w := r.serve(req)
	r.close(t)
	if w.Code != http.StatusOK || w.Body.Len() != 0 || len(r.desk.commands()) != 0 {
		t.Errorf("status %d, body %q, heard %v", w.Code, w.Body, r.desk.commands())
	}
	if !r.LastHeard().IsZero() {
		t.Error("an unsigned probe counts as Slack heard")
	}
}

func TestTheChallengeIsAnsweredOnlyWhenSigned(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	body := `{"token":"x","challenge":"echo <this>","type":"url_verification"}`
	w := r.send("/slack/events", jsonType+"; charset=utf-8", body)
	var got map[string]string
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || w.Code != http.StatusOK {
		t.Fatalf("status %d, body %q: %v", w.Code, w.Body, err)
	}
	if diff := cmp.Diff(map[string]string{"challenge": "echo <this>"}, got); diff != "" {
		t.Error(diff)
	}
	if w := r.serve(signedRequest("/slack/events", jsonType, body, "guess", time.Now())); w.Code != http.StatusUnauthorized {
		t.Errorf("a forged challenge: status %d", w.Code)
	}
}

func TestASlashCommandIsAnsweredInItsResponse(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	at := time.Now().Add(-time.Minute).Truncate(time.Second)
	w := r.serve(signedRequest("/slack/commands", formType, slashBody("start S&amp;B &lt;hot&gt; 500ml", "t1"), testSecret, at))
	var got struct {
		Type   string            `json:"response_type"`
		Text   string            `json:"text"`
		Blocks []json.RawMessage `json:"blocks"`
	}
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil || w.Code != http.StatusOK {
		t.Fatalf("status %d, body %q: %v", w.Code, w.Body, err)
	}
	if got.Type != "ephemeral" || got.Text != "done: start S&amp;B &lt;hot&gt; 500ml" || len(got.Blocks) != 1 {
		t.Errorf("answered %+v", got)
	}
	r.close(t)
	want := []kitchen.Command{{
		ID: "cmd:t1", Text: "start S&B <hot> 500ml", By: kitchen.Person{ID: bar1, Name: "bar-1"}, At: at,
	}}
	if diff := cmp.Diff(want, r.desk.commands()); diff != "" {
		t.Error(diff)
	}
	if said := r.slack.said(); len(said) != 0 {
		t.Errorf("said besides: %q", said)
	}
}

func TestARepeatedRequestIsCarriedOutOnceAndAnsweredAgain(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	req := func() *http.Request {
		return signedRequest("/slack/commands", formType, slashBody("charged A", "t1"), testSecret, time.Now())
	}
	first, second := r.serve(req()), r.serve(req())
	r.close(t)
	heard := r.desk.commands()
	if len(heard) != 1 {
		t.Errorf("heard %v", heard)
	}
	if first.Body.String() != second.Body.String() {
		t.Errorf("answered %s and then %s", first.Body, second.Body)
	}
}

func TestASlowDeskIsAcknowledgedInTimeAndTheOutcomeFollows(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		release := make(chan struct{})
		r.desk.answer = func(ctx context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
			<-release
			return kitchen.Answer{Line: "kept"}, ctx.Err()
		}
		began := time.Now()
		req := signedRequest("/slack/commands", formType, slashBody("charged A", "t1"), testSecret, began)
		// The request ends with its acknowledgement; what it asked does not.
		ctx, hangUp := context.WithCancel(t.Context())
		w := r.serve(req.WithContext(ctx))
		hangUp()
		if took := time.Since(began); took != 2500*time.Millisecond {
			t.Errorf("acknowledged after %v", took)
		}
		if !strings.Contains(w.Body.String(), "not saved yet") {
			t.Errorf("acknowledged with %q", w.Body)
		}
		synctest.Wait()
		if said := r.slack.said(); len(said) != 0 {
			t.Errorf("said before the outcome: %q", said)
		}
		close(release)
		r.close(t)
		if diff := cmp.Diff([]string{"kept"}, r.slack.said()); diff != "" {
			t.Error(diff)
		}
		if calls := r.slack.to("once"); calls[0].note.Type != "ephemeral" || calls[0].note.Replace {
			t.Errorf("sent %+v", calls[0].note)
		}
	})
}

func TestASlowTapAndASlowMessageAreToldThatTheyAreNotSavedYet(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, func(c *Config) { c.Patience = time.Second })
		release := make(chan struct{})
		r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
			<-release
			return kitchen.Answer{Line: "kept"}, nil // for all to see
		}
		if w := r.press(kitchen.Tap{Line: "charged A"}.String()); w.Code != http.StatusOK || w.Body.Len() != 0 {
			t.Errorf("the tap: status %d, body %q", w.Code, w.Body)
		}
		if w := r.event(`"type":"app_mention","user":"` + bar1 + `","text":"<@` + bot + `> vented A","ts":"1764000200.000300","channel":"` + channel + `"`); w.Code != http.StatusOK {
			t.Errorf("the mention: status %d", w.Code)
		}
		synctest.Wait()
		if diff := cmp.Diff([]string{"not saved yet", "not saved yet"}, r.slack.said()); diff != "" {
			t.Error(diff)
		}
		close(release)
		r.close(t)
		if diff := cmp.Diff([]string{"not saved yet", "not saved yet", "kept", "kept"}, r.slack.said()); diff != "" {
			t.Error(diff)
		}
	})
}

func TestAnErrorIsSaidPlainlyAndLoggedOnce(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.desk.answer = func(context.Context, kitchen.Command) (kitchen.Answer, error) {
		return kitchen.Answer{}, errors.New("ledger away")
	}
	w := r.command("charged A")
	if !strings.Contains(w.Body.String(), "broken") {
		t.Errorf("answered %q", w.Body)
	}
	r.close(t)
	if log := r.log.String(); strings.Count(log, "ledger away") != 1 || strings.Count(log, "level=") != 1 {
		t.Errorf("log:\n%s", log)
	}
}

func TestAPanicAtTheDeskEndsOneCommandOnly(t *testing.T) {
	t.Parallel()
	r := newRig(t)
	r.desk.answer = func(_ context.Context, cmd kitchen.Command) (kitchen.Answer, error) {
		if cmd.Text == "trip" {
			panic("over the mat")
		}
		return kitchen.Answer{Line: "fine"}, nil
	}
	if w := r.command("trip"); !strings.Contains(w.Body.String(), "broken") {
		t.Errorf("answered %q", w.Body)
	}
	if w := r.command("resting"); !strings.Contains(w.Body.String(), "fine") {
		t.Errorf("answered %q", w.Body)
	}
	r.close(t)
}

func TestAClosedDoorTakesNothingInAndCloseWaitsForTheOutcome(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		r.desk.answer = func(ctx context.Context, _ kitchen.Command) (kitchen.Answer, error) {
			select {
			case <-time.After(time.Minute):
				return kitchen.Answer{Line: "kept"}, nil
			case <-ctx.Done():
				return kitchen.Answer{}, ctx.Err()
			}
		}
		r.command("charged A")
		began := time.Now()
		ctx, cancel := context.WithTimeout(t.Context(), time.Hour)
		defer cancel()
		if err := r.Close(ctx); err != nil {
			t.Fatal(err)
		}
		if took := time.Since(began); took != time.Minute-2500*time.Millisecond {
			t.Errorf("closed after %v", took)
		}
		if diff := cmp.Diff([]string{"kept"}, r.slack.said()); diff != "" {
			t.Error(diff)
		}
		if w := r.command("charged A"); w.Code != http.StatusServiceUnavailable {
			t.Errorf("after Close: status %d", w.Code)
		}
	})
}

func TestCloseLetsGoWhenItsTimeIsUp(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t)
		ended := make(chan struct{})
		r.desk.answer = func(ctx context.Context, _ kitchen.Command) (kitchen.Answer, error) {
			defer close(ended)
			<-ctx.Done()
			return kitchen.Answer{}, ctx.Err()
		}
		r.command("charged A")
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		if err := r.Close(ctx); !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("Close gives %v", err)
		}
		<-ended // the desk was told
	})
}
