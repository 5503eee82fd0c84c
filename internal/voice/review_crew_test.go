package voice

import (
	"testing"
	"time"

	"ventbell/internal/kitchen"
	"ventbell/internal/request"
)

var (
	tablet = kitchen.Person{ID: "U7", Name: "tablet"}
	larder = kitchen.Person{ID: "U3", Name: "larder"}
)

func crewWalk(t *testing.T, r *record) {
	at := func(heading string) *evening {
		w := newEvening(t, r)
		w.team.Tablets = []string{tablet.ID}
		w.title("%s", heading)
		return w
	}
	at("who is on").onAndOff()
	at("trained to charge").mayCharge()
	at("somebody else vents").someoneElse()
	at("a shared tablet").atTablet()
	at("calls together").atOnce()
	at("the channel is paged").paged()
}

func (w *evening) onAndOff() {
	w.says(bar1, "who is on")
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar2, "start thyme oil 400ml in B")
	w.says(larder, "who is on")
	w.says(bar2, "on")
	w.says(larder, "who is on")
	w.team.Managers = nil
	w.says(bar1, "hand over A")
	w.says(bar2, "off")
	w.says(bar1, "on")
	w.pass(17 * time.Hour)
}

func (w *evening) mayCharge() {
	w.says(lead, "@nobody is trained to charge")
	w.says(bar1, "start rhubarb gin 400ml in A")
	w.says(bar2, "on")
	w.says(lead, "@bar-2 is trained to charge")
	w.says(larder, "who is on")
	w.says(bar1, "charged A")
	w.says(bar2, "take A")
	w.taps(larder, w.says(larder, "start ginger gin 400ml in B"), 0)
	w.says(lead, "@bar-2 is not trained to charge")
	w.says(larder, "who is on")
	w.says(larder, "charged B")
	for _, verb := range []request.Verb{request.Trained, request.Untrain, request.Decline, request.Initial} {
		w.saw(w.voice.Echo(request.Request{Verb: verb}))
	}
	w.saw(w.voice.Echo(request.Request{Verb: request.Asks, Topic: request.OnNow}))
}

func (w *evening) someoneElse() {
	w.says(bar2, "start thyme oil 400ml in B")
	w.fill("start rhubarb gin 400ml in A")
	w.says(bar1, "can't vent B")
	w.called(kitchen.Venting)
	w.says(bar1, "can't vent A")
	w.says(bar1, "can't vent A")
	w.pass(2 * time.Minute)
	w.team.Managers = nil
	w.says(bar2, "someone else A")
	w.says(bar2, "charged A")
	w.says(bar2, "on")
	w.says(bar2, "vented A")
	w.says(bar1, "on")
}

func (w *evening) atTablet() {
	w.says(bar1, "initials KM")
	w.says(tablet, "start rhubarb gin 400ml in A")
	w.says(tablet, "initials")
	w.says(tablet, "initials KM")
	w.says(tablet, "charged A")
	w.says(tablet, "off")
}

// atOnce has vessels whose calls are due at the same time.
func (w *evening) atOnce() {
	for _, tag := range []string{"A", "B", "C"} {
		w.says(bar1, "start rhubarb gin 300ml in "+tag)
		w.says(bar1, "put 2 chargers in all in "+tag)
		w.pass(2 * time.Second)
	}
	w.pass(5 * time.Minute)
	w.says(bar1, "vented A")
	w.says(bar1, "vented B")
	w.says(bar1, "vented C")
	w.pass(3 * time.Minute)
	w.says(bar1, "strained A")
	w.says(bar1, "undo A")
	w.pass(time.Minute)
	w.says(bar1, "strained A 280 ml")
	w.says(bar1, "labelled A")
	w.pass(20 * time.Minute)
	w.says(bar1, "strained B")
	w.says(bar1, "scrap C")
	w.pass(time.Hour)
}

func (w *evening) paged() {
	w.team.Pages = []kitchen.Page{kitchen.PagePressurised, kitchen.PageFood}
	w.says(bar2, "start thyme oil 400ml in B")
	w.fill("start rhubarb gin 400ml in A")
	w.pass(8 * time.Minute)
	w.says(bar1, "vented A")
	w.pass(time.Hour)
}
