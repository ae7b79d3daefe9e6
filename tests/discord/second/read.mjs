// Another client library reads what the fake platform sends, says how it understood it, and answers in its own words:
// `node read.mjs http://127.0.0.1:PORT`. A line of JSON for each thing that it read.
import { Client, ComponentType, GatewayIntentBits } from "discord.js";

// What the platform does not ask for and our own rule does: no text may ping.
const quiet = { allowedMentions: { parse: [] } };
const say = (what) => console.log(JSON.stringify(what));
const client = new Client({
  intents: [GatewayIntentBits.Guilds],
  rest: { api: `${process.argv[2]}/api`, retries: 0 },
});

const options = (interaction) =>
  Object.fromEntries(
    interaction.options.data
      .flatMap((option) => option.options ?? [option])
      .map((option) => [option.name, option.attachment?.name ?? option.value]),
  );

const row = { type: ComponentType.ActionRow, components: [{ type: 2, style: 2, label: "Next", custom_id: "next" }] };

async function answer(interaction) {
  if (interaction.isAutocomplete()) return interaction.respond([{ name: "Main journal", value: "main-journal" }]);
  if (interaction.isChatInputCommand() && interaction.commandName === "log") {
    await interaction.deferReply();
    return interaction.editReply({ ...quiet, content: "kept", components: [row] });
  }
  if (interaction.isChatInputCommand()) return interaction.reply({ ...quiet, embeds: [{ description: "102.36 mm" }], components: [row] });
  if (interaction.isModalSubmit()) return interaction.reply({ ...quiet, content: "kept", flags: 64 });
  if (interaction.isStringSelectMenu()) return interaction.update({ ...quiet, content: "Step 2", components: [row] });
  return interaction.showModal({
    title: "Readings",
    custom_id: "form",
    components: [{ type: 1, components: [{ type: 4, style: 1, label: "Front", custom_id: "values", required: true }] }],
  });
}

client.on("interactionCreate", async (interaction) => {
  const read = {
    read: "interaction",
    type: interaction.type,
    server: interaction.guildId,
    channel: interaction.channelId,
    user: interaction.user.username,
    roles: [...interaction.member.roles.cache?.keys() ?? interaction.member.roles],
    lifetime: interaction.createdTimestamp < Date.now(),
  };
  if (interaction.commandName) {
    read.command = [interaction.commandName, interaction.options.getSubcommand(false)].filter(Boolean).join(" ");
    read.options = options(interaction);
  }
  if (interaction.isAutocomplete()) read.focused = interaction.options.getFocused(true).name;
  if (interaction.isMessageComponent()) read.pressed = interaction.values?.[0] ?? interaction.customId;
  if (interaction.isModalSubmit()) read.filled = interaction.fields.getTextInputValue("values");
  say(read);
  await answer(interaction);
});

client.once("clientReady", async () => {
  const guild = client.guilds.cache.first();
  const channels = await guild.channels.fetch();
  const roles = await guild.roles.fetch();
  const commands = await guild.commands.set([{ name: "convert", description: "One unit in another." }]);
  const bench = channels.find((channel) => channel.name === "bench");
  const thread = await bench.threads.create({ name: "Job #9", autoArchiveDuration: 10080 });
  const card = await thread.send({ ...quiet, content: "first", nonce: "n1", enforceNonce: true });
  const same = await thread.send({ ...quiet, content: "first", nonce: "n1", enforceNonce: true });
  const edited = await card.edit({ ...quiet, content: "second" });
  await card.pin();
  await thread.setArchived(true);
  say({
    read: "server",
    name: guild.name,
    bot: client.user.id,
    channels: channels.map((channel) => channel.name).sort(),
    roles: roles.map((role) => role.name).sort(),
    commands: commands.map((command) => command.name),
    thread: [thread.parentId === bench.id, thread.archived],
    card: [card.id === same.id, edited.content],
  });
});

client.on("error", (error) => say({ read: "error", error: String(error) }));
process.on("unhandledRejection", (error) => say({ read: "error", error: String(error?.stack ?? error) }));
await client.login("second.opinion.word");
