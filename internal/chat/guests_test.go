package chat

import (
	"net/http"
	"slices"
	"strings"
	"testing"
	"testing/synctest"

	"ventbell/internal/kitchen"
)

// asGuests has Slack asked who is a guest.
func asGuests(c *Config) { c.Guests = true }

func TestWhoeverIsFromOutsideReachesTheKitchenAsAGuest(t *testing.T) {
	t.Parallel()
	other := func(body string) string {
		return strings.Replace(body, `"username":"bar-1"`, `"username":"bar-1","team_id":"T0OTHER"`, 1)
	}
	told := func(flags string) string {
		return `{"ok":true,"user":{"id":"` + bar1 + `","name":"b1","team_id":"` + house + `",` + flags + `"profile":{"display_name":"bar-1"}}}`
	}
	charged := kitchen.Tap{Line: "charged A", Batch: 1}.String()
	for name, tc := range map[string]struct {
		users string // what users.info says; empty = nothing special
		say   func(*rig)
		want  bool
	}{
		"our own tap":                        {told(""), func(r *rig) { r.press(charged) }, false},
		"a tap from another workspace":       {told(""), func(r *rig) { r.interact(other(tapBody(charged))) }, true},
		"a guest's command":                  {told(`"is_restricted":true,`), func(r *rig) { r.command("resting") }, true},
		"a single channel's guest":           {told(`"is_ultra_restricted":true,`), func(r *rig) { r.press(charged) }, true},
		"a stranger":                         {told(`"is_stranger":true,`), func(r *rig) { r.press(charged) }, true},
		"one whom only Slack knows as other": {strings.Replace(told(""), house, "T0OTHER", 1), func(r *rig) { r.command("resting") }, true},
		"where Slack does not say":           {slackSays("missing_scope"), func(r *rig) { r.press(charged) }, false},
		"where Slack is out":                 {slackSays("internal_error"), func(r *rig) { r.press(charged) }, false},
		"a visitor's mention": {told(""), func(r *rig) {
			r.event(`"type":"app_mention","channel":"` + channel + `","user":"` + bar1 + `","user_team":"T0OTHER","text":"<@U0BOT> vented A","ts":"1764000200.000300"`)
		}, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r := newRig(t, asGuests)
				r.slack.answer = func(c call) (int, string) {
					if c.path == "users.info" {
						return http.StatusOK, tc.users
					}
					return http.StatusOK, ""
				}
				tc.say(r)
				synctest.Wait()
				r.close(t)
				heard := r.desk.commands()
				if len(heard) != 1 || heard[0].By.ID != bar1 || heard[0].By.Guest != tc.want {
					t.Errorf("heard %+v", heard)
				}
			})
		})
	}
}

func TestWhetherSomebodyIsAGuestIsAskedOnce(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		r := newRig(t, asGuests)
		for range 3 {
			r.person(t.Context(), ask{user: bar1, name: "bar-1"})
		}
		if n := len(r.slack.to("users.info")); n != 1 {
			t.Errorf("asked %d times", n)
		}
		r.person(t.Context(), ask{user: "U0OTHER", stranger: true, name: "x"})
		if n := len(r.slack.to("users.info")); n != 1 {
			t.Error("asked about somebody of another workspace")
		}
	})
}

func TestAGroupIsReadAndItsChangesArePassedOn(t *testing.T) {
	t.Parallel()
	changed := 0
	r := newRig(t, func(c *Config) { c.Regroup = func() { changed++ } })
	r.slack.answer = func(c call) (int, string) {
		switch {
		case c.path != "usergroups.users.list":
			return http.StatusOK, ""
		case c.form.Get("usergroup") == "S0CREW":
			return http.StatusOK, `{"ok":true,"users":["U1","U2"]}`
		}
		return http.StatusOK, slackSays("no_such_subteam")
	}
	members, err := r.Group(t.Context(), "S0CREW")
	if err != nil || !slices.Equal(members, []string{"U1", "U2"}) {
		t.Errorf("members %q, %v", members, err)
	}
	if _, err := r.Group(t.Context(), "S0NONE"); err == nil {
		t.Error("a group that is not there has members")
	}
	for _, event := range []string{"subteam_members_changed", "subteam_updated", "subteam_self_added"} {
		r.event(`"type":"` + event + `","subteam_id":"S0CREW"`)
	}
	if changed != 2 {
		t.Errorf("passed on %d times", changed)
	}
	if n := len(r.desk.commands()); n != 0 {
		t.Errorf("%d commands", n)
	}
}
