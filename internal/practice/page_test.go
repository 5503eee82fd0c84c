package practice

import (
	"io/fs"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/slack-go/slack"
	"github.com/slack-go/slack/slackevents"
	"github.com/slack-go/slack/socketmode"
)

func (c *crew) request(verb, path, body string, change func(*http.Request)) (int, string) {
	c.t.Helper()
	req, err := http.NewRequestWithContext(c.t.Context(), verb, c.Config().BaseURL+path, strings.NewReader(body))
	if err != nil {
		c.t.Fatal(err)
	}
	if body != "" {
		req.Header.Set("Content-Type", "application/json")
	}
	if change != nil {
		change(req)
	}
	status, raw := c.do(req)
	return status, string(raw)
}

func TestRoomAnswersUnderLoopbackNamesOnly(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	for host, want := range map[string]int{
		"localhost": 200, "localhost:8080": 200, "127.0.0.1": 200, "[::1]:80": 200,
		"practice.example.org": 403, "127.0.0.1.example.org": 403, "10.0.0.7": 403,
	} {
		if status, _ := c.request("GET", "/", "", func(r *http.Request) { r.Host = host }); status != want {
			t.Errorf("%s: %d, want %d", host, status, want)
		}
	}
}

func TestOtherSitesPagesCannotWrite(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	body := `{"as":"` + c.bar1 + `","channel":"` + c.bench + `","text":"start"}`
	foreign := func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }
	if status, _ := c.request("POST", "/page/say", body, foreign); status != 403 {
		t.Errorf("cross-site: %d", status)
	}
	plain := func(r *http.Request) { r.Header.Set("Content-Type", "text/plain") }
	if status, _ := c.request("POST", "/page/say", body, plain); status != 415 {
		t.Errorf("a body that a form can send: %d", status)
	}
	if got := c.Messages(""); len(got) != 0 {
		t.Errorf("stands %v", got)
	}
	own := func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-origin") }
	if status, _ := c.request("POST", "/page/say", body, own); status != 200 || len(c.Messages(c.bench)) != 1 {
		t.Errorf("same origin: %d", status)
	}
}

func TestPageLoadsNothingFromOutside(t *testing.T) {
	t.Parallel()
	outside := regexp.MustCompile(`(?i)(https?:)?//[a-z]|@import|innerHTML|insertAdjacentHTML|document\.write|eval\(`)
	err := fs.WalkDir(pageFiles, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		raw, err := fs.ReadFile(pageFiles, path)
		if at := outside.FindIndex(raw); at != nil {
			t.Errorf("%s: %s", path, raw[at[0]:min(at[1]+30, len(raw))])
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestPageShowsAPersonOnlyWhatIsTheirs(t *testing.T) {
	t.Parallel()
	c := open(t, Config{})
	c.post("for all to see")
	c.call("chat.postEphemeral", map[string]string{"channel": c.bench, "user": c.bar1, "text": "for one to see"})
	c.call("chat.postMessage", map[string]string{"channel": c.bar1, "text": "said in private"})
	for who, want := range map[string]bool{c.bar1: true, c.larder: false} {
		_, page := c.request("GET", "/?as="+who, "", nil)
		for _, text := range []string{"for one to see", "said in private"} {
			if strings.Contains(page, text) != want {
				t.Errorf("%s sees %q: %v", c.Name(who), text, !want)
			}
		}
		if !strings.Contains(page, "for all to see") {
			t.Errorf("%s misses what all see", c.Name(who))
		}
	}
}

// cook is a service that answers a command privately and turns a tap into an edit.
func (c *crew) cook() {
	api := c.api()
	c.service(func(sm *socketmode.Client, e socketmode.Event) {
		switch data := e.Data.(type) {
		case slack.SlashCommand:
			_ = sm.Ack(*e.Request, map[string]any{"text": "You said " + data.Text})
		case slack.InteractionCallback:
			ack(sm, e)
			_, _, _, _ = api.UpdateMessage(data.Channel.ID, data.Message.Timestamp, slack.MsgOptionBlocks(),
				slack.MsgOptionText("Vented by "+data.User.Name, false))
		case slackevents.EventsAPIEvent:
			ack(sm, e)
		}
	})
}

func TestPageInARealBrowser(t *testing.T) {
	t.Parallel()
	b := chromium(t)
	c := open(t, Config{})
	c.cook()
	confirm := slack.NewConfirmationBlockObject(
		slack.NewTextBlockObject("plain_text", "Really empty?", false, false),
		slack.NewTextBlockObject("plain_text", "Gas was heard, then two silent presses.", false, false),
		slack.NewTextBlockObject("plain_text", "Empty", false, false),
		slack.NewTextBlockObject("plain_text", "Not yet", false, false))
	vented := slack.NewButtonBlockElement("vented", "A.1", slack.NewTextBlockObject("plain_text", "Empty, two silent presses", false, false))
	_, ts, err := c.api().PostMessageContext(t.Context(), c.bench, slack.MsgOptionText("Vent A", false), slack.MsgOptionBlocks(
		slack.NewSectionBlock(slack.NewTextBlockObject("mrkdwn",
			"*Vent <!date^1795543580^{time_secs}|at once>, A, <@"+c.bar1+">:* `vented A` &lt;b&gt;<img src=x onerror=alert(1)>", false, true), nil, nil),
		slack.NewActionBlock("taps", vented.WithStyle(slack.StylePrimary).WithConfirm(confirm)),
	))
	if err != nil {
		t.Fatal(err)
	}
	ticket := `document.querySelector('[data-ts="` + ts + `"]')`

	b.open(c.Config().BaseURL + "/?as=" + c.bar1)
	b.until(`document.getElementById('clock').textContent.startsWith('17:')`)
	for what, want := range map[string]string{
		ticket + `.querySelector('.lead').textContent`:                                                                     "Vent 18:06:20, A, @bar-1: vented A <b>img src=x onerror=alert(1)",
		ticket + `.querySelector('.stamp').textContent`:                                                                    "For you",
		ticket + `.querySelector('.mention.mine').textContent`:                                                             "@bar-1",
		ticket + `.querySelector('.buttons button').textContent`:                                                           "Empty, two silent presses",
		`document.querySelectorAll('img, #log script').length`:                                                             "0",
		`document.documentElement.scrollWidth <= innerWidth`:                                                               "true",
		`Math.min(...[...document.querySelectorAll('.buttons button, #say button')].map(b => b.offsetHeight || 56)) >= 44`: "true",
	} {
		if got := b.eval(what); got != want {
			t.Errorf("%s is %q, want %q", what, got, want)
		}
	}

	typed := func(text string) {
		b.eval(`(() => { document.getElementById('line').value = ` + "`" + text + "`" + `; document.querySelector('#say button').click(); })()`)
	}
	typed("/bell resting <i>")
	b.until(`document.querySelector('.private .body')?.textContent === 'You said resting <i>'`)
	if got := b.eval(`document.querySelector('.private .only').textContent`); got != "Only you see this" {
		t.Errorf("an ephemeral answer is marked %q", got)
	}
	typed("jug <u>ready</u>, @larder")
	b.until(`[...document.querySelectorAll('.tape.own .body')].some(n => n.textContent === 'jug <u>ready</u>, @larder')`)

	b.eval(ticket + `.querySelector('.answer').click()`)
	typed("mine")
	b.until(ticket + `.querySelector('.replies .body')?.textContent === 'mine'`)
	b.eval(`document.querySelector('#answering button').click()`)

	for _, answer := range []string{"no", "yes"} {
		b.eval(ticket + `.querySelector('.buttons button').click()`)
		b.eval(`document.querySelector('dialog button[value=` + answer + `]').click()`)
		b.until(`!document.querySelector('dialog')`)
	}
	b.until(ticket + `.querySelector('.lead').textContent === 'Vented by bar-1'`)
	for what, want := range map[string]string{
		ticket + `.querySelectorAll('.buttons').length`:                  "0",
		ticket + `.querySelector('.edited').textContent`:                 "changed 17:00",
		ticket + `.querySelector('.replies .body').textContent`:          "mine",
		`document.querySelectorAll('#log > .ticket:first-child').length`: "1",
	} {
		if got := b.eval(what); got != want {
			t.Errorf("after the edit %s is %q, want %q", what, got, want)
		}
	}

	c.call("chat.postMessage", map[string]string{"channel": c.bar1, "text": "Vent in 30 s, A."})
	b.until(`document.querySelector('.count')?.textContent === '1 new'`)
	b.eval(`document.querySelector('#places button:not([aria-current])').click()`)
	b.until(`document.querySelector('#log .lead')?.textContent === 'Vent in 30 s, A.' && !document.querySelector('.count')`)

	typed("/nothing")
	b.until(`!document.getElementById('trouble').hidden`)
	if got := b.eval(`document.getElementById('trouble').textContent`); got != "/nothing is no command here." {
		t.Errorf("trouble reads %q", got)
	}

	b.open(c.Config().BaseURL + "/?as=" + c.larder)
	b.until(`document.querySelectorAll('.slip').length === 3`) // without what only bar-1 sees
	if got := b.eval(`document.querySelectorAll('.private').length`); got != "0" {
		t.Errorf("larder sees %s private messages", got)
	}
	if got := b.eval(`document.querySelectorAll('.forme').length`); got != "1" {
		t.Errorf("larder is mentioned in %s messages", got)
	}
}
