package chat

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strconv"
	"strings"

	"github.com/slack-go/slack"

	"ventbell/internal/voice"
)

// sheet is a message as Slack takes it: blocks to look at, and the same words
// as text, which is what phones announce and screen readers read.
type sheet struct {
	text   string
	blocks []slack.Block
}

const (
	// actionPrefix begins the action_id of every button of ours.
	actionPrefix = "bell-"
	rowLength    = 5 // buttons in a row; more than five wrap badly on a phone
	// stay is the button that leaves everything as it is, where Slack asks
	// "sure?" in a box of its own.
	stay = "Back"
)

// draw draws a message: the headline, the lines below it, the buttons.
func draw(m voice.Message) sheet {
	if len(m.Lines) == 0 {
		return sheet{}
	}
	s := sheet{text: plain(m)}
	for _, text := range sections(m.Lines) {
		s.blocks = append(s.blocks, slack.NewSectionBlock(
			slack.NewTextBlockObject(slack.MarkdownType, text, false, true), nil, nil))
	}
	used := map[string]int{}
	for row := range slices.Chunk(m.Buttons, rowLength) {
		elements := make([]slack.BlockElement, len(row))
		for i, b := range row {
			elements[i] = button(b, actionID(b, used), m.Lines[0].Plain())
		}
		s.blocks = append(s.blocks, slack.NewActionBlock("", elements...))
	}
	return s
}

// plain gives a message as the text beside the blocks: all of its words, with
// the kitchen's own clock times. Mentions are mentions here too, since this is
// the text that a phone shows when it rings.
func plain(m voice.Message) string {
	var lines []string
	for _, l := range m.Lines {
		var b strings.Builder
		for _, p := range l {
			b.WriteString(plainPiece(p))
		}
		lines = append(lines, unquoted(b.String()))
	}
	return strings.Join(lines, "\n")
}

// sections gives the text of the sections: the headline stands alone, the
// other lines together as far as they fit.
func sections(lines []voice.Line) []string {
	var list []string
	for i, l := range lines {
		text := mark(l)
		switch last := len(list) - 1; {
		case strings.TrimSpace(text) == "": // Slack takes no empty section
		case i > 1 && last > 0 && units(list[last])+1+units(text) <= sectionLimit:
			list[last] += "\n" + text
		default:
			list = append(list, text)
		}
	}
	return list
}

func button(b voice.Button, id, headline string) *slack.ButtonBlockElement {
	e := slack.NewButtonBlockElement(id, b.Tap.String(), label(b.Label))
	e.AccessibilityLabel = cut(b.Label+": "+headline, labelLimit)
	if b.Main {
		e.Style = slack.StylePrimary
	}
	if b.Sure != "" {
		e.Confirm = slack.NewConfirmationBlockObject(
			label(b.Label), label(b.Sure), label(cut(b.Label, confirmLimit)), label(stay))
	}
	return e
}

// label is text that Slack shows as it stands.
func label(text string) *slack.TextBlockObject {
	return slack.NewTextBlockObject(slack.PlainTextType, text, false, false)
}

// actionID names a button by what it does: the same on every redraw, so that a
// finger on its way down still finds it, and unlike any other in its message.
func actionID(b voice.Button, used map[string]int) string {
	sum := sha256.Sum256([]byte(b.Tap.String()))
	id := actionPrefix + hex.EncodeToString(sum[:6])
	used[id]++
	if n := used[id]; n > 1 {
		id += "-" + strconv.Itoa(n)
	}
	return id
}
