// Starts `ferrule serve` and hands it to the editor. Everything else is the server's.
const { workspace, window, commands } = require("vscode");
const { LanguageClient } = require("vscode-languageclient/node");

let client;

// A client whose server never started has nothing to stop.
const stop = async () => (client?.needsStop() ? client.stop() : undefined);

function start() {
  const settings = workspace.getConfiguration("ferrule");
  const command = settings.get("path", "ferrule");
  client = new LanguageClient(
    "ferrule",
    "ferrule",
    { command, args: ["serve"] },
    {
      documentSelector: [{ language: "ferrule" }],
      initializationOptions: { inlayHints: settings.get("inlayHints", true) },
      synchronize: { configurationSection: "ferrule" },
      markdown: { isTrusted: false, supportHtml: false },
    },
  );
  return client.start().catch((error) => {
    window.showErrorMessage(`ferrule could not be started as \`${command}\`: ${error.message}. Set \`ferrule.path\` in your user settings.`);
  });
}

exports.activate = async (context) => {
  context.subscriptions.push(
    commands.registerCommand("ferrule.restart", async () => {
      await stop();
      await start();
    }),
    workspace.onDidChangeConfiguration(async (change) => {
      if (!change.affectsConfiguration("ferrule.path")) return;
      await stop();
      await start();
    }),
  );
  await start();
};

exports.deactivate = stop;
