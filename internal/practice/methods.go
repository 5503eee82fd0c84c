package practice

import "maps"

// methods are the methods of the Web API that the room knows. What takes no
// scope needs only a token.
func methods() map[string]method {
	chat := []string{"chat:write"}
	reading := []string{"channels:read", "groups:read", "im:read", "mpim:read"}
	message := map[string]argument{
		"channel": anyText, "text": anyText, "blocks": document, "metadata": document, "thread_ts": anyText,
		"as_user": truth, "link_names": truth, "parse": anyText,
	}
	post := with(message, map[string]argument{
		"mrkdwn": truth, "reply_broadcast": truth, "unfurl_links": truth, "unfurl_media": truth,
	})
	schedule := with(post, map[string]argument{"post_at": anyText})
	update := with(message, map[string]argument{"ts": anyText})
	delete(update, "thread_ts")
	history := []string{"channels:history", "groups:history", "im:history", "mpim:history"}
	span := map[string]argument{"oldest": anyText, "latest": anyText, "limit": number, "cursor": anyText}
	past := with(span, map[string]argument{"channel": anyText, "inclusive": truth, "include_all_metadata": truth})
	form := map[string]argument{"trigger_id": anyText, "view": document}
	return map[string]method{
		"auth.test":             {json: true, do: authTest},
		"apps.connections.open": {json: true, appToken: true, perMinute: tier3, do: openConnection},
		"chat.postMessage":      {json: true, scopes: chat, args: post, need: []string{"channel"}, do: postMessage},
		"chat.postEphemeral": {
			json: true, scopes: chat, perMinute: tier4, need: []string{"channel", "user"},
			args: with(message, map[string]argument{"user": anyText}), do: postEphemeral,
		},
		"chat.update": {json: true, scopes: chat, perMinute: tier3, args: update, need: []string{"channel", "ts"}, do: updateMessage},
		"chat.delete": {
			json: true, scopes: chat, perMinute: tier3, need: []string{"channel", "ts"},
			args: map[string]argument{"channel": anyText, "ts": anyText, "as_user": truth}, do: deleteMessage,
		},
		"chat.scheduleMessage": {
			json: true, scopes: chat, perMinute: tier3, args: schedule, need: []string{"channel", "post_at"}, do: scheduleMessage,
		},
		"chat.deleteScheduledMessage": {
			json: true, scopes: chat, perMinute: tier3, need: []string{"channel", "scheduled_message_id"},
			args: map[string]argument{"channel": anyText, "scheduled_message_id": anyText, "as_user": truth}, do: deleteScheduled,
		},
		"chat.scheduledMessages.list": {
			json: true, scopes: chat, perMinute: tier3,
			args: with(span, map[string]argument{"channel": anyText}), do: listScheduled,
		},
		"conversations.history": {
			json: true, get: true, scopes: history, perMinute: tier3, need: []string{"channel"}, args: past, do: conversationHistory,
		},
		"conversations.replies": {
			get: true, scopes: history, perMinute: tier3, need: []string{"channel", "ts"},
			args: with(past, map[string]argument{"ts": anyText}), do: conversationReplies,
		},
		"views.open": {json: true, perMinute: tier4, need: []string{"trigger_id", "view"}, args: form, do: openView},
		"views.push": {json: true, perMinute: tier4, need: []string{"trigger_id", "view"}, args: form, do: pushView},
		"views.update": {
			json: true, perMinute: tier4, need: []string{"view"}, do: updateView,
			args: map[string]argument{"view": document, "view_id": anyText, "external_id": anyText, "hash": anyText},
		},
		"views.publish": {
			json: true, perMinute: tier4, need: []string{"user_id", "view"}, do: publishView,
			args: map[string]argument{"user_id": anyText, "view": document, "hash": anyText},
		},
		"conversations.open": {
			json: true, scopes: []string{"im:write", "channels:manage", "groups:write", "mpim:write"}, perMinute: tier3,
			args: map[string]argument{"channel": anyText, "users": anyText, "return_im": truth, "prevent_creation": truth},
			do:   openConversation,
		},
		"conversations.info": {
			get: true, scopes: reading, perMinute: tier3, need: []string{"channel"},
			args: map[string]argument{"channel": anyText, "include_locale": truth, "include_num_members": truth},
			do:   conversationInfo,
		},
		"conversations.members": {
			get: true, scopes: reading, perMinute: tier4, need: []string{"channel"},
			args: map[string]argument{"channel": anyText, "cursor": anyText, "limit": number}, do: conversationMembers,
		},
		"users.info": {
			get: true, scopes: []string{"users:read"}, perMinute: tier4, need: []string{"user"},
			args: map[string]argument{"user": anyText, "include_locale": truth}, do: userInfo,
		},
		"usergroups.users.list": {
			get: true, scopes: []string{"usergroups:read"}, perMinute: tier2, need: []string{"usergroup"},
			args: map[string]argument{"usergroup": anyText, "include_disabled": truth}, do: groupMembers,
		},
	}
}

func with(a, b map[string]argument) map[string]argument {
	c := maps.Clone(a)
	maps.Copy(c, b)
	return c
}
