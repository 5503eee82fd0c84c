package voice

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

var (
	floor   = kitchen.Person{ID: "U8", Name: "floor"}
	visitor = kitchen.Person{ID: "U70", Name: "visitor", Guest: true}
)

func rolesWalk(t *testing.T, r *record) {
	at := func(heading string) *evening {
		w := newEvening(t, r)
		w.team.Viewers = []string{floor.ID}
		w.title("%s", heading)
		return w
	}
	at("a viewer").viewed()
	at("a viewer says that it is empty").claimed()
	at("somebody is forgotten").forgotten()
}

func (w *evening) viewed() {
	w.says(floor, "start rhubarb gin 400ml in A")
	w.says(bar1, "forget @"+bar2.ID)
	w.team.Managers = nil
	w.says(floor, "start rhubarb gin 400ml in A")
	w.says(bar1, "forget @"+bar2.ID)
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(visitor, "charged A")
	w.says(visitor, "strained A")
	w.says(visitor, "take A")
}

func (w *evening) claimed() {
	w.fill("start rhubarb gin 400ml in A")
	w.says(floor, "vented A")
	w.called(kitchen.Venting)
	w.pass(15 * time.Minute)
	w.says(visitor, "vented A")
	w.step("vented")
	w.says(bar1, "start ginger gin 400ml in B")
	w.says(bar1, "charged B")
	w.says(floor, "vented B")
	w.says(bar1, "no gas B")
}

func (w *evening) forgotten() {
	w.says(bar2, "on shift")
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(lead, "forget @nobody")
	w.says(lead, "forget me")
	w.says(lead, "forget @"+bar1.ID)
	w.says(bar2, "forget me")
	w.taps(lead, w.says(lead, "forget @"+bar2.ID), 0)
	for _, who := range []string{request.Speaker, bar2.ID} {
		w.saw(w.voice.Echo(request.Request{Verb: request.Forget, Person: who}))
	}
}
