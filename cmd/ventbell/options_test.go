package main_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestRunSaysWhatIsMissing(t *testing.T) {
	t.Parallel()
	c := ventbell(t, []string{"VENTBELL_TRANSPORT=http"}, "run")
	if status := c.ended(patience); status != 2 {
		t.Errorf("status %d, want 2", status)
	}
	for _, name := range []string{"VENTBELL_BOT_TOKEN", "VENTBELL_SIGNING_SECRET", "VENTBELL_KITCHENS"} {
		if !strings.Contains(c.log.String(), name) {
			t.Errorf("it does not name %s: %s", name, c.log.String())
		}
	}
}

func TestSecretsComeFromFilesAndReachNoLog(t *testing.T) {
	t.Parallel()
	h := openHouse(t, "http", 1)
	const password = "sesame, if you please/@:%"
	if err := h.redis.client.ConfigSet(t.Context(), "requirepass", password).Err(); err != nil {
		t.Fatal(err)
	}
	secret := h.room.Config()
	env := slices.DeleteFunc(h.env(0, h.port), func(v string) bool {
		return strings.HasPrefix(v, "VENTBELL_BOT_TOKEN=") || strings.HasPrefix(v, "VENTBELL_SIGNING_SECRET=")
	})
	for name, value := range map[string]string{
		"VENTBELL_BOT_TOKEN_FILE": secret.BotToken, "VENTBELL_SIGNING_SECRET_FILE": secret.SigningSecret,
		"VENTBELL_REDIS_PASSWORD_FILE": password,
	} {
		path := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(path, []byte(value+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		env = append(env, name+"="+path)
	}
	b := h.runWith(env, h.port)
	if got := h.says("bar-1", 0, "start pepper tequila 500ml"); !strings.HasPrefix(got, "Read as: ") {
		t.Errorf("the answer is %q", got)
	}
	h.sees(0, "Weigh 60 g for A")
	for _, value := range []string{secret.BotToken, secret.SigningSecret, "sesame"} {
		if strings.Contains(b.log.String(), value) {
			t.Errorf("the log holds the secret %q: %s", value, b.log.String())
		}
	}
}
