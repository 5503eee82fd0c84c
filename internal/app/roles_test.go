package app

import (
	"context"
	"errors"
	"log/slog"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"ventbell/internal/kitchen"
)

// rolls tells who is in a group; a group that it does not have cannot be read.
type rolls map[string][]string

func (r rolls) Group(_ context.Context, id string) ([]string, error) {
	members, ok := r[id]
	if !ok {
		return nil, errors.New("no_such_subteam")
	}
	return members, nil
}

func (r rolls) NameOf(_ context.Context, id string) string { return "name of " + id }

// crewOf reads the options and gives what they make of a team.
func crewOf(t *testing.T, o Options) (*crews, *kitchen.Team, *strings.Builder) {
	t.Helper()
	team, log := &kitchen.Team{}, &strings.Builder{}
	first := o.roles().team(kitchen.Team{Channel: "C1"}, nil)
	*team = first
	c := newCrews(o.roles(), map[string]kitchen.Team{"main": first}, func(teams map[string]kitchen.Team) { *team = teams["main"] },
		slog.New(slog.NewTextHandler(log, nil)))
	return c, team, log
}

func TestRolesAreThoseOfPeopleAndOfGroups(t *testing.T) {
	t.Parallel()
	o := Options{Managers: "U1:prep-lead,S0LEADS", Hands: "U2, S0CREW", Viewers: "U4:floor,S0FLOOR"}
	c, team, log := crewOf(t, o)
	if team.HandsOnly {
		t.Error("hands are limited before their group was read")
	}
	groups := rolls{"S0LEADS": {"U1", "U5"}, "S0CREW": {"U2", "U3"}, "S0FLOOR": {}}
	c.read(t.Context(), groups)
	want := kitchen.Team{
		Channel: "C1", Managers: []kitchen.Person{{ID: "U1", Name: "prep-lead"}, {ID: "U5", Name: "name of U5"}},
		Hands: []string{"U2", "U3"}, Viewers: []string{"U4"}, HandsOnly: true,
	}
	if diff := cmp.Diff(want, *team); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	delete(groups, "S0CREW")
	groups["S0LEADS"] = []string{"U1"}
	c.read(t.Context(), groups)
	c.read(t.Context(), groups)
	want.Managers = want.Managers[:1]
	if diff := cmp.Diff(want, *team); diff != "" {
		t.Errorf("when one cannot be read (-want +got):\n%s", diff)
	}
	if n := strings.Count(log.String(), "level=WARN"); n != 1 || !strings.Contains(log.String(), "S0CREW") {
		t.Errorf("it is logged %d times: %s", n, log)
	}
}

func TestAGroupThatWasNeverReadKeepsNobodyFromBeingAHand(t *testing.T) {
	t.Parallel()
	c, team, log := crewOf(t, Options{Hands: "S0CREW"})
	c.read(t.Context(), rolls{})
	if team.HandsOnly || !strings.Contains(log.String(), "nobody is kept from being a hand") {
		t.Errorf("team %+v, log %s", team, log)
	}
	c.read(t.Context(), rolls{"S0CREW": {}}) // nobody could say that a vessel is empty
	if team.HandsOnly {
		t.Error("nobody at all is a hand or a manager")
	}
}

func TestWithoutHandsEverybodyIsOne(t *testing.T) {
	t.Parallel()
	h, err := Options{Kitchens: "main=C1", Managers: "U1:prep-lead", Viewers: "U4"}.houses()
	if err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]kitchen.Role{"U1": kitchen.Manager, "U2": kitchen.Hand, "U4": kitchen.Viewer} {
		if got := h.teams["main"].RoleOf(kitchen.Person{ID: id}); got != want {
			t.Errorf("%s is a %s, want a %s", id, got, want)
		}
	}
}

func TestWebhooksKnowNoGroups(t *testing.T) {
	t.Parallel()
	_, err := ReadOptions([]string{"VENTBELL_TRANSPORT=webhook", "VENTBELL_KITCHENS=main=prep", "VENTBELL_HANDS=S0CREW"})
	if err == nil || !strings.Contains(err.Error(), "S0CREW") {
		t.Errorf("it says %v", err)
	}
	on := Options{Hands: "S0CREW"}.features()
	if diff := cmp.Diff([]feature{groups}, on); diff != "" {
		t.Errorf("features (-want +got):\n%s", diff)
	}
}
