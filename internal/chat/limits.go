package chat

import (
	"errors"
	"fmt"
	"unicode/utf16"

	"github.com/slack-go/slack"
)

// Slack's limits. It does not say in what it counts; we count UTF-16 units,
// the most that it can mean, and count what is sent, escapes and all.
const (
	textLimit    = 4000  // chat.update refuses more; chat.postMessage advises it
	sectionLimit = 3000  // text of a section
	allLimit     = 12000 // text of all blocks; undocumented, refused from about 13,200
	blockLimit   = 50    // blocks of a message
	buttonLimit  = 25    // buttons of an actions block; ours in all
	labelLimit   = 75    // a button's label, and its accessibility label
	valueLimit   = 2000  // what a button carries
	titleLimit   = 100   // of the box that asks "sure?"
	sureLimit    = 300   // what it asks
	confirmLimit = 30    // its two buttons
)

// fits says why Slack would refuse a sheet, before it is sent.
func fits(s sheet) error {
	if s.text == "" || len(s.blocks) == 0 {
		return errors.New("check message: it says nothing")
	}
	if err := within("text", s.text, textLimit); err != nil {
		return err
	}
	if len(s.blocks) > blockLimit {
		return fmt.Errorf("check message: %d blocks, at most %d", len(s.blocks), blockLimit)
	}
	all, buttons := 0, 0
	for _, b := range s.blocks {
		switch b := b.(type) {
		case *slack.SectionBlock:
			all += units(b.Text.Text)
			if err := within("a section", b.Text.Text, sectionLimit); err != nil {
				return err
			}
		case *slack.ActionBlock:
			for _, e := range b.Elements.ElementSet {
				buttons++
				if err := buttonFits(e.(*slack.ButtonBlockElement)); err != nil {
					return err
				}
			}
		}
	}
	if all > allLimit {
		return fmt.Errorf("check message: %d characters in blocks, at most %d", all, allLimit)
	}
	if buttons > buttonLimit {
		return fmt.Errorf("check message: %d buttons, at most %d", buttons, buttonLimit)
	}
	return nil
}

func buttonFits(b *slack.ButtonBlockElement) error {
	checks := []struct {
		what, text string
		limit      int
	}{
		{"a button's label", b.Text.Text, labelLimit},
		{"a button's value", b.Value, valueLimit},
		{"an accessibility label", b.AccessibilityLabel, labelLimit},
	}
	if b.Confirm != nil {
		checks = append(checks, []struct {
			what, text string
			limit      int
		}{
			{"a confirmation's title", b.Confirm.Title.Text, titleLimit},
			{"a confirmation's text", b.Confirm.Text.Text, sureLimit},
			{"a confirmation's yes", b.Confirm.Confirm.Text, confirmLimit},
			{"a confirmation's no", b.Confirm.Deny.Text, confirmLimit},
		}...)
	}
	for _, c := range checks {
		if err := within(c.what, c.text, c.limit); err != nil {
			return err
		}
	}
	return nil
}

func within(what, text string, limit int) error {
	switch n := units(text); {
	case n == 0:
		return fmt.Errorf("check message: %s is empty", what)
	case n > limit:
		return fmt.Errorf("check message: %s has %d characters, at most %d", what, n, limit)
	}
	return nil
}

// units counts a text as Slack counts it at most.
func units(text string) int {
	n := 0
	for _, r := range text {
		n += utf16.RuneLen(r)
	}
	return n
}

// cut shortens a text to at most limit units, and shows that it did.
func cut(text string, limit int) string {
	if units(text) <= limit {
		return text
	}
	n := 1 // the dots
	for i, r := range text {
		if n += utf16.RuneLen(r); n > limit {
			return text[:i] + "…"
		}
	}
	return text
}
