package chat

import "testing"

func TestUnmarkGivesALineAsItWasTyped(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]string{
		// Escapes and links: docs.slack.dev, "Formatting message text".
		"S&amp;B &lt;hot&gt;": "S&B <hot>",
		"&amp;lt;":            "&lt;",
		"<http://x.test|x.test> <https://y.test/>": "x.test https://y.test/",
		"<mailto:a@b.test|a@b.test>":               "a@b.test",
		"<mailto:a@b.test> <tel:+4315550100>":      "a@b.test +4315550100",
		"<#C1|bench> <@W9|closer> <@U9>":           "#bench @W9 @U9",
		"<!here> <!subteam^S1|@bar> <!channel>":    "@here @bar @channel",
		"<!date^1764000200^{time}|16:03> charged":  "16:03 charged",
		"<@U0BOT> start <@U0BOT|bell>":             "start",
		// What a phone's keyboard makes: common practice, no source.
		"don\u2019t \u201crhubarb gin\u201d": `don't "rhubarb gin"`,
		"500\u00a0ml 400\u202fml 2\u2009l":   "500 ml 400 ml 2 l",
		"vented\u200b A\u200d\ufeff":         "vented A",
		"char\u00adged A":                    "charged A",
		// Emoji arrive by name: docs.slack.dev, "Formatting message text".
		"strained A 345 :+1:":                "strained A 345  ok",
		"strained A 345:thumbsup:":           "strained A 345 ok",
		":white_check_mark:":                 "ok",
		"A :ok_hand::skin-tone-3:":           "A  ok",
		":+1::skin-tone-6: A":                "ok  A",
		":fire: vented A :wave::skin-tone-2": ":fire: vented A :wave::skin-tone-2",
		"rest 2:00:15, label 18:06:20":       "rest 2:00:15, label 18:06:20",
		"":                                   "",
		"  \u00a0 ":                          "",
	} {
		if got := unmark(typed, bot); got != want {
			t.Errorf("unmark(%q) = %q, want %q", typed, got, want)
		}
	}
}

func FuzzUnmarkLeavesNothingThatAPhonePutIn(f *testing.F) {
	f.Add("<@U0BOT|x> \u201cx\u201d :+1::skin-tone-2: &amp;lt; <mailto:|>")
	f.Fuzz(func(t *testing.T, text string) {
		for _, r := range unmark(text, bot) {
			switch r {
			case '\u2018', '\u2019', '\u201c', '\u201d', '\u00a0', '\u200b', '\u200d', '\ufeff':
				t.Errorf("unmark(%q) leaves %q", text, r)
			}
		}
	})
}
