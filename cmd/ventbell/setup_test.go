package main_test

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestManifestPrintsAnAppToPaste(t *testing.T) {
	t.Parallel()
	c := ventbell(t, []string{"VENTBELL_TRANSPORT=http"}, "manifest", "--url", "https://bell.example.org")
	if status := c.ended(patience); status != 0 {
		t.Fatalf("it ended with status %d", status)
	}
	var app struct {
		Display  map[string]string `json:"display_information"`
		Settings struct {
			Events struct {
				URL string `json:"request_url"`
			} `json:"event_subscriptions"`
		} `json:"settings"`
	}
	if err := json.Unmarshal([]byte(c.out.String()), &app); err != nil {
		t.Fatal(err)
	}
	if app.Display["name"] != "Ventbell" || app.Settings.Events.URL != "https://bell.example.org/slack/events" {
		t.Errorf("it printed %s", c.out.String())
	}
	if said := c.log.String(); said != "" {
		t.Errorf("it complained: %s", said)
	}
}

func TestCheckFindsTheSetUpInOrderAndThenWhatIsNot(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "http", 2)
	env := h.env(0, h.port)
	c := ventbell(t, env, "check")
	if status := c.ended(patience); status != 0 || strings.Contains(c.out.String(), "blocks: ") {
		t.Errorf("all is well, and it ended with status %d: %s", status, c.out.String())
	}
	if err := h.redis.client.ConfigSet(t.Context(), "maxmemory-policy", "allkeys-lru").Err(); err != nil {
		t.Fatal(err)
	}
	h.room.Expel(h.channels[1])
	secret := h.room.Config()
	c = ventbell(t, env, "check")
	if status := c.ended(patience); status != 2 {
		t.Errorf("it ended with status %d, want 2", status)
	}
	out := c.out.String()
	for _, want := range []string{
		"blocks: channel: " + h.channels[1] + " (prep-1): the bot is not in the channel. Type /invite @bell there\n",
		"blocks: redis: maxmemory-policy is allkeys-lru: a full one forgets whole kitchens. Set `maxmemory-policy noeviction`\n",
	} {
		if !strings.Contains(out, want) {
			t.Errorf("it lacks %q:\n%s", want, out)
		}
	}
	for _, value := range []string{secret.BotToken, secret.SigningSecret} {
		if strings.Contains(out+c.log.String(), value) {
			t.Errorf("it shows the secret %q", value)
		}
	}
}
