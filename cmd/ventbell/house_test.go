package main_test

import (
	"context"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"testing"

	"ventbell/internal/kitchen"
	"ventbell/internal/ledger"
	"ventbell/internal/practice"
)

// house is a crew with a practice room and a redis-server. The program joins
// it as a process; only the workspace is not the real one.
type house struct {
	t        *testing.T
	room     *practice.Room
	redis    *server
	ledger   *ledger.Redis // the test's own look into what is kept
	port     string        // of the program, when requests come to it signed
	book     string        // of short clocks
	channels []string      // one a kitchen
	crew     map[string]string
}

// openHouse opens a house with that many kitchens. transport is the program's:
// "http" or "socket".
func openHouse(t *testing.T, transport string, kitchens int) *house {
	t.Helper()
	program(t)
	h := &house{t: t, redis: startRedis(t), book: quickBook(t, 2), crew: map[string]string{}}
	var cfg practice.Config
	if transport == "http" {
		h.port = freePort(t)
		base := "http://127.0.0.1:" + h.port + "/slack/"
		cfg.RequestURL, cfg.CommandURL, cfg.ActionURL = base+"events", base+"commands", base+"actions"
	}
	h.room = practice.New(cfg)
	t.Cleanup(h.room.Close)
	for _, role := range []string{"prep-lead", "bar-1", "bar-2", "larder"} {
		h.crew[role] = h.room.AddPerson(role)
	}
	for i := range kitchens {
		channel := h.room.AddChannel("prep-" + strconv.Itoa(i))
		h.room.Join(channel, true)
		h.channels = append(h.channels, channel)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	h.room.Start(l)
	h.ledger, err = ledger.DialRedis(t.Context(), ledger.RedisConfig{URL: h.redis.url(), Log: slog.New(slog.DiscardHandler)})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = h.ledger.Close() })
	return h
}

// kitchen names the i-th kitchen.
func (h *house) kitchen(i int) string { return "kitchen-" + strconv.Itoa(i) }

// env is what README's table tells the program.
func (h *house) env(replica int, port string) []string {
	var kitchens []string
	for i, channel := range h.channels {
		kitchens = append(kitchens, h.kitchen(i)+"="+channel)
	}
	transport := "socket"
	if h.port != "" {
		transport = "http"
	}
	cfg := h.room.Config()
	return []string{
		"VENTBELL_LEDGER=" + h.redis.url(),
		"VENTBELL_BOOK=" + h.book,
		"VENTBELL_KITCHENS=" + strings.Join(kitchens, ";"),
		"VENTBELL_MANAGERS=" + h.crew["prep-lead"] + ":prep-lead",
		"VENTBELL_TRANSPORT=" + transport,
		"VENTBELL_BOT_TOKEN=" + cfg.BotToken,
		"VENTBELL_APP_TOKEN=" + cfg.AppToken,
		"VENTBELL_SIGNING_SECRET=" + cfg.SigningSecret,
		"VENTBELL_SLACK_API=" + h.room.APIURL(),
		"VENTBELL_LISTEN=127.0.0.1:" + port,
		"VENTBELL_REPLICA=" + strconv.Itoa(replica),
	}
}

// bot is one `ventbell run`.
type bot struct {
	*child
	url string
}

// run starts the program and waits until it is ready: then it hears the room.
func (h *house) run(replica int) *bot {
	h.t.Helper()
	port := h.port
	if port == "" {
		port = freePort(h.t)
	}
	return h.runWith(h.env(replica, port), port)
}

// runWith starts the program with an environment and waits until it says that
// it is ready.
func (h *house) runWith(env []string, port string) *bot {
	h.t.Helper()
	b := &bot{child: ventbell(h.t, env, "run"), url: "http://127.0.0.1:" + port}
	eventually(h.t, "ventbell run is ready", func() bool {
		select {
		case <-b.done:
			h.t.Fatal("ventbell run ended at its start")
		default:
		}
		return b.status("/readyz") == http.StatusOK
	})
	return b
}

// status asks the bot for a page and gives the answer's status; 0 for no answer.
func (b *bot) status(path string) int {
	resp, err := fresh.Get(b.url + path)
	if err != nil {
		return 0
	}
	_ = resp.Body.Close()
	return resp.StatusCode
}

// fresh opens a connection for each request, so that a process that was
// started again is never asked on an old one.
var fresh = &http.Client{Timeout: patience, Transport: &http.Transport{DisableKeepAlives: true}}

// soon is as long as anything may take.
func (h *house) soon() context.Context {
	ctx, cancel := context.WithTimeout(h.t.Context(), patience)
	h.t.Cleanup(cancel)
	return ctx
}

// says has somebody use the slash command in the i-th kitchen's channel, and
// gives what they alone are answered.
func (h *house) says(who string, i int, line string) string {
	h.t.Helper()
	answer, err := h.room.Command(h.soon(), h.crew[who], h.channels[i], "/bell", line)
	if err != nil {
		h.t.Fatalf("%s says %q: %v", who, line, err)
	}
	if answer.Message == nil {
		return ""
	}
	return h.room.Plain(answer.Message.Text)
}

// begins says that a text begins with words, in which # stands for a digit: a
// call names its clock time, a slip that says the same does not.
func begins(text, words string) bool {
	if len(text) < len(words) {
		return false
	}
	for i := range len(words) {
		if words[i] == '#' && text[i] >= '0' && text[i] <= '9' {
			continue
		}
		if text[i] != words[i] {
			return false
		}
	}
	return true
}

// taps waits for a message in the i-th kitchen that begins with words and has
// such a button, and has somebody tap it.
func (h *house) taps(who string, i int, words, label string) {
	h.t.Helper()
	m := h.sees(i, words, func(m practice.Message) bool {
		return slices.ContainsFunc(m.Buttons(), func(b practice.Button) bool { return b.Text.Text == label })
	})
	if _, err := h.room.Tap(h.soon(), h.crew[who], m.Channel, m.TS, label); err != nil {
		h.t.Fatalf("%s taps %q on %q: %v", who, label, words, err)
	}
}

// sees waits for a message of the bot's to everybody in the i-th kitchen that
// begins with words and is as asked.
func (h *house) sees(i int, words string, as ...func(practice.Message) bool) practice.Message {
	h.t.Helper()
	var found practice.Message
	err := h.room.Wait(h.soon(), h.channels[i], func(all []practice.Message) bool {
		for _, m := range slices.Backward(all) {
			fits := m.Person == h.room.BotID() && m.For == "" && begins(h.room.Plain(m.Text), words)
			for _, is := range as {
				fits = fits && is(m)
			}
			if fits {
				found = m
				return true
			}
		}
		return false
	})
	if err != nil {
		h.t.Fatalf("nobody sees %q: %v", words, err)
	}
	return found
}

// posted gives how each message of the bot's to everybody in the i-th kitchen
// read when it was posted, in order; not those in threads.
func (h *house) posted(i int) []string {
	var all []string
	for _, m := range h.room.Messages(h.channels[i]) {
		if m.Person != h.room.BotID() || m.For != "" || m.ThreadTS != "" {
			continue
		}
		text := m.Text
		if len(m.Edits) > 0 {
			text = m.Edits[0].Text
		}
		all = append(all, h.room.Plain(text))
	}
	return all
}

// count gives how many messages of the i-th kitchen began with words.
func (h *house) count(i int, words string) int {
	n := 0
	for _, text := range h.posted(i) {
		if begins(text, words) {
			n++
		}
	}
	return n
}

// quiet waits until nothing waits to be delivered.
func (h *house) quiet() {
	h.t.Helper()
	eventually(h.t, "all messages are delivered", func() bool {
		n, err := h.redis.client.ZCard(h.t.Context(), "vb:{0}:lanes").Result()
		return err == nil && n == 0
	})
}

// batch gives the batch in a vessel of the i-th kitchen, as it is kept.
func (h *house) batch(i int, vessel string) *kitchen.Batch {
	h.t.Helper()
	state, err := h.ledger.Peek(h.soon(), h.kitchen(i))
	if err != nil {
		h.t.Fatal(err)
	}
	k, err := kitchen.Decode(h.kitchen(i), state.Fields)
	if err != nil {
		h.t.Fatal(err)
	}
	for _, b := range k.Open() {
		if b.Vessel == vessel {
			return b
		}
	}
	h.t.Fatalf("no batch is kept in %s of %s", vessel, h.kitchen(i))
	return nil
}

// rests starts a batch in A of the i-th kitchen that rests that long, taps its
// two chargers in, and waits until it rests.
func (h *house) rests(i int, seconds int) *kitchen.Batch {
	h.t.Helper()
	h.says("bar-1", i, fmt.Sprintf("start pepper tequila 500ml rest %d s", seconds))
	h.taps("bar-1", i, "Weigh 60 g for A", "Charger in")
	h.taps("bar-1", i, "Swirl 1 s, A. Charger 1 of 2", "Charger in")
	h.sees(i, "Rest ")
	return h.batch(i, "A")
}
