package voice

import "ventbell/internal/kitchen"

// claimCall asks the crew whether a vessel is empty, until somebody says so: it was
// said by somebody whose word is not enough.
func (v Voice) claimCall(k *kitchen.Kitchen, b *kitchen.Batch, sent bool) (m Message, reason string) {
	vals := v.about(b)
	switch {
	case b.Claimed != nil && b.Gas() > 0:
	case !sent:
		return Message{}, "answered"
	case b.Emptied != nil:
		return message(v.say("claim.over", vals)), ""
	default:
		return message(v.say("claim.gone", vals)), ""
	}
	vals["ring"] = v.rings(k.Circle(b, 1))
	vals["claimed"], vals["claimedBy"] = b.Claimed.Done, b.Claimed.By
	return message(v.say("claim.call", vals), v.safeVent(b), v.say("safe.empty", nil)).
		with(v.emptyButton(b), v.button(b, "button.help", "help", 0)), ""
}
