// A small bot made with Slack's own kit. It answers what a bot can be asked,
// and prints a line of JSON for each thing it heard. The tests drive the
// practice room and read those lines: what the kit understood, the room said
// rightly.
import bolt from "@slack/bolt";

const env = process.env;
const overSocket = env.MODE === "socket";
const heard = (what, more = {}) => console.log(JSON.stringify({ what, ...more }));

const app = new bolt.App({
  token: env.BOT_TOKEN,
  clientOptions: { slackApiUrl: env.API },
  logLevel: bolt.LogLevel.ERROR,
  ...(overSocket
    ? { socketMode: true, appToken: env.APP_TOKEN }
    : { signingSecret: env.SIGNING_SECRET, endpoints: "/slack" }),
});

const text = (s) => ({ type: "plain_text", text: s });
const button = (label, value) => ({ type: "button", action_id: "bell-1", text: text(label), value });

app.command("/bell", async ({ command, ack }) => {
  await ack({ response_type: "ephemeral", text: `heard ${command.text}` });
  heard("command", { text: command.text, user: command.user_id, channel: command.channel_id });
});

app.event("app_mention", async ({ event, say }) => {
  const answer = await say({
    text: "a slip", thread_ts: event.ts,
    metadata: { event_type: "judged", event_payload: { mark: "m1" } },
    blocks: [
      { type: "section", text: { type: "mrkdwn", text: "a slip", verbatim: true } },
      { type: "actions", elements: [button("Done", "1")] },
    ],
  });
  heard("mention", { text: event.text, ts: answer.ts, thread: answer.message.thread_ts });
});

app.message(async ({ message }) => {
  heard("message", { text: message.text, subtype: message.subtype, type: message.channel_type });
});

app.action("bell-1", async ({ ack, body, action, client }) => {
  await ack();
  if (body.container.type === "view") {
    heard("home tap", { value: action.value, view: body.view.type });
    return;
  }
  const done = { channel: body.channel.id, ts: body.message.ts, text: "done" };
  await client.chat.update({ ...done, blocks: [{ type: "section", text: text("done") }] });
  const history = await client.conversations.replies({
    channel: body.channel.id, ts: body.message.thread_ts, include_all_metadata: true,
  });
  heard("tap", {
    value: action.value,
    marks: history.messages.map((m) => m.metadata?.event_payload?.mark).filter(Boolean),
  });
});

app.shortcut({ type: "shortcut", callback_id: "bell-start" }, async ({ ack, shortcut, client }) => {
  await ack();
  const opened = await client.views.open({
    trigger_id: shortcut.trigger_id,
    view: {
      type: "modal", callback_id: "bell-form", private_metadata: "kept", title: text("Start"), submit: text("Go"),
      blocks: [
        {
          type: "input", block_id: "recipe", label: text("Recipe"),
          element: {
            type: "static_select", action_id: "field",
            options: ["pepper tequila", "rhubarb gin"].map((s) => ({ text: text(s), value: s })),
          },
        },
        {
          type: "input", block_id: "volume", optional: true, label: text("Volume"),
          element: { type: "plain_text_input", action_id: "field" },
        },
      ],
    },
  });
  heard("shortcut", { view: opened.view.type });
});

app.shortcut({ type: "message_action", callback_id: "bell-read" }, async ({ ack, shortcut, respond }) => {
  await ack();
  await respond({ response_type: "ephemeral", text: `read ${shortcut.message.text}` });
  heard("message shortcut", { text: shortcut.message.text });
});

app.view("bell-form", async ({ ack, view }) => {
  const recipe = view.state.values.recipe.field.selected_option?.value;
  const volume = view.state.values.volume.field.value;
  if (volume === "too much") {
    await ack({ response_action: "errors", errors: { volume: "at most 500 ml" } });
  } else {
    await ack();
  }
  heard("form", { recipe, volume, kept: view.private_metadata });
});

app.event("app_home_opened", async ({ event, client }) => {
  await client.views.publish({
    user_id: event.user,
    view: {
      type: "home",
      blocks: [
        { type: "section", text: text("nothing rests") },
        { type: "actions", elements: [button("Fresh", "home")] },
      ],
    },
  });
  heard("home", { tab: event.tab });
});

app.error(async (error) => heard("error", { message: String(error) }));
process.stdin.on("end", () => process.exit(0)).resume(); // our parent is gone

await app.start(overSocket ? undefined : Number(env.PORT));
heard("ready");
