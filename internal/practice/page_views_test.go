package practice

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"
)

// manager is a service with a page, a form and shortcuts: the shortcut opens
// the form, the form finds 345 too much, a button on the page says done.
func (c *crew) manager() {
	plain := func(s string) *slack.TextBlockObject { return slack.NewTextBlockObject("plain_text", s, false, false) }
	ml := slack.NewInputBlock("ml", plain("Millilitres"), plain("Read at eye level."), slack.NewPlainTextInputBlockElement(nil, "field"))
	options := slack.NewOptionsSelectBlockElement(slack.OptTypeStatic, nil, "field",
		slack.NewOptionBlockObject("A", plain("A, 0.5 L"), nil), slack.NewOptionBlockObject("B", plain("B <i>"), nil))
	why := slack.NewInputBlock("why", plain("Why"), nil, slack.NewPlainTextInputBlockElement(nil, "field").WithMultiline(true)).WithOptional(true)
	form := slack.ModalViewRequest{
		Type: slack.VTModal, Title: plain("Reading <b>"), Submit: plain("Enter it"), Close: plain("Stay"),
		Blocks: slack.Blocks{BlockSet: []slack.Block{ml, slack.NewInputBlock("vessel", plain("Vessel"), nil, options), why}},
	}
	page := func(lead string) slack.HomeTabViewRequest {
		return slack.HomeTabViewRequest{Type: slack.VTHomeTab, Blocks: slack.Blocks{BlockSet: []slack.Block{
			slack.NewSectionBlock(slack.NewTextBlockObject("mrkdwn", "*"+lead+"*", false, false), nil, nil),
			slack.NewActionBlock("a", slack.NewButtonBlockElement("vented", "", plain("Empty"))),
		}}}
	}
	api := c.api()
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		in, _ := e.Data.(slack.InteractionCallback)
		if in.Type == slack.InteractionTypeViewSubmission && in.View.State.Values["ml"]["field"].Value == "345" {
			_ = sm.Ack(*e.Request, slack.NewErrorsViewSubmissionResponse(map[string]string{"ml": "A holds 300."}))
			return
		}
		ack(sm, e)
		ctx := c.t.Context()
		switch in.Type {
		case slack.InteractionTypeShortcut, slack.InteractionTypeMessageAction:
			form.CallbackID = in.CallbackID
			_, _ = api.OpenViewContext(ctx, in.TriggerID, form)
		case slack.InteractionTypeViewSubmission:
			v := in.View.State.Values
			_, _, _ = api.PostMessageContext(ctx, c.bench, slack.MsgOptionText(
				in.View.CallbackID+": "+v["ml"]["field"].Value+" in "+v["vessel"]["field"].SelectedOption.Value, false))
		case slack.InteractionTypeBlockActions:
			_, _ = api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: in.User.ID, View: page("Vented")})
		}
		if event, ok := e.Data.(slackevents.EventsAPIEvent); ok {
			if home, ok := event.InnerEvent.Data.(*slackevents.AppHomeOpenedEvent); ok {
				_, _ = api.PublishViewContext(ctx, slack.PublishViewContextRequest{UserID: home.User, View: page("Vent A")})
			}
		}
	})
}

func TestFormsAndPagesInARealBrowser(t *testing.T) {
	t.Parallel()
	b := chromium(t)
	c := open(t, Config{
		Shortcuts:        []Shortcut{{"reading", "Correct a reading"}, {"vessel", "Add a vessel"}},
		MessageShortcuts: []Shortcut{{"from-this", "Start from this"}},
	})
	c.manager()
	if _, err := c.Say(soon(t), c.larder, c.bench, "345 in A", ""); err != nil {
		t.Fatal(err)
	}
	slip := c.post("Rest 2:00, A")
	c.pass(time.Second)
	c.call("chat.postMessage", map[string]string{"channel": c.bench, "thread_ts": slip, "text": "Charger 1 of 2."})
	b.open(c.Config().BaseURL + "/?as=" + c.bar1)
	is := func(what, want string) {
		t.Helper()
		if got := b.eval(what); got != want {
			t.Errorf("%s is %q, want %q", what, got, want)
		}
	}

	// The thread is folded up and says what it holds.
	fold := `document.querySelector('[data-ts="` + slip + `"] > .thread')`
	is(fold+`.querySelector('summary').textContent + ' ' + `+fold+`.open`, "1 answer, last 17:00 false")
	c.pass(time.Second)
	c.call("chat.postMessage", map[string]string{"channel": c.bench, "thread_ts": slip, "text": "Charger 2 of 2."})
	b.until(fold + `.querySelector('summary').textContent === '2 answers, last 17:00, 1 new'`)
	b.eval(fold + `.querySelector('summary').click()`)
	b.until(fold + `.open && ` + fold + `.querySelector('summary').textContent === '2 answers, last 17:00'`)

	// A shortcut opens a form; the keyboard reaches its fields in order.
	b.eval(`document.querySelector('#more summary').click()`)
	is(`[...document.querySelectorAll('#more div button')].map(b => b.textContent).join()`, "Correct a reading,Add a vessel")
	b.eval(`document.querySelector('#more div button').click()`)
	b.until(`document.querySelector('dialog.sheet[open]')`)
	sheet := `document.querySelector('dialog.sheet')`
	for what, want := range map[string]string{
		sheet + `.querySelector('h2').textContent`:                                                                        "Reading <b>",
		`document.querySelectorAll('dialog b, dialog i').length`:                                                          "0",
		`[...` + sheet + `.querySelectorAll('label')].map(l => l.textContent).join('; ')`:                                 "Millilitres; Vessel; Why (may stay empty)",
		`[...` + sheet + `.querySelectorAll('label')].every(l => l.control)`:                                              "true",
		`document.activeElement === ` + sheet + `.querySelector('input')`:                                                 "true",
		`getComputedStyle(document.activeElement).outlineStyle`:                                                           "solid",
		`document.getElementById(document.activeElement.getAttribute('aria-describedby').split(' ')[0]).textContent`:      "Read at eye level.",
		`document.documentElement.scrollWidth <= innerWidth && ` + sheet + `.getBoundingClientRect().right <= innerWidth`: "true",
		`Math.min(...[...` + sheet + `.querySelectorAll('input, select, button')].map(n => n.offsetHeight)) >= 44`:        "true",
	} {
		is(what, want)
	}
	enter := func(ml, vessel string) {
		b.eval(`(() => { const f = ` + sheet + `; f.querySelector('input').value = '` + ml + `'; f.querySelector('select').value = '` + vessel + `'; f.querySelector('.main').click(); })()`)
	}
	enter("345", "")
	is(sheet+`.querySelector('form').checkValidity()`, "false") // the browser holds back what is not filled in
	enter("345", "B")
	b.until(sheet + `?.querySelector('.wrong:not([hidden])')?.textContent === 'Look again: A holds 300.'`)
	is(`document.activeElement.getAttribute('aria-invalid') + document.activeElement.value`, "true345")
	enter("300", "B")
	b.until(`!document.querySelector('dialog') && [...document.querySelectorAll('.ticket .lead')].some(n => n.textContent === 'reading: 300 in B')`)
	is(`document.activeElement === document.querySelector('#more summary')`, "true")

	// The shortcut on somebody's message; leaving the form with Escape.
	b.eval(`document.querySelector('.tape .answer').click()`)
	b.until(`document.querySelector('dialog.sheet[open]')`)
	if v, _ := c.Form(c.bar1); v.CallbackID != "from-this" {
		t.Errorf("opened by %q", v.CallbackID)
	}
	b.do("Input.dispatchKeyEvent", map[string]any{"type": "keyDown", "key": "Escape", "code": "Escape", "windowsVirtualKeyCode": 27}, nil)
	b.until(`!document.querySelector('dialog')`)
	if _, open := c.Form(c.bar1); open {
		t.Error("Escape left the form open in the room")
	}

	// One's own page.
	b.eval(`[...document.querySelectorAll('#places button')].at(-1).click()`)
	b.until(`document.querySelector('#home .lead')?.textContent === 'Vent A'`)
	is(`document.getElementById('log').hidden && document.getElementById('say').hidden && !document.getElementById('home').hidden`, "true")
	b.eval(`document.querySelector('#home .buttons button').click()`)
	b.until(`document.querySelector('#home .lead')?.textContent === 'Vented'`)
	b.size(1280, 800)
	is(`document.documentElement.scrollWidth <= innerWidth`, "true")
	b.eval(`document.querySelector('#places button').click()`)
	b.until(`!document.getElementById('log').hidden && document.getElementById('home').hidden`)
}

func TestPageSaysWhenAFormIsNoLongerOpen(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	old := c.open(c.bar1, modal(""))["view"].(map[string]any)["id"].(string)
	c.open(c.bar1, modal(""))
	for _, path := range []string{"/page/submit", "/page/close"} {
		status, body := c.request("POST", path, `{"as":"`+c.bar1+`","view":"`+old+`","values":{"ml":"1"}}`, nil)
		if status != http.StatusBadGateway || !strings.Contains(body, "no longer the open one") {
			t.Errorf("%s: %d %s", path, status, body)
		}
	}
}
