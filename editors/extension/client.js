// Starts `faultbook editor` for files of rules, cases and settings, and hands its answers to the editor.
"use strict";

const { workspace } = require("vscode");
const { LanguageClient, TransportKind } = require("vscode-languageclient/node");

let client;

exports.activate = async function activate() {
  const command = workspace.getConfiguration("faultbook").get("program", "faultbook");
  const server = { command, args: ["editor"], transport: TransportKind.stdio };
  const watched = ["**/*.rules", "**/cases/*.toml", "**/faultbook.toml"];
  const documentSelector = [
    { scheme: "file", language: "faultbook-rules" },
    { scheme: "file", pattern: "**/cases/*.toml" },
    { scheme: "file", pattern: "**/faultbook.toml" },
  ];
  const fileEvents = watched.map((pattern) => workspace.createFileSystemWatcher(pattern));
  client = new LanguageClient("faultbook", "Faultbook", server, { documentSelector, synchronize: { fileEvents } });
  await client.start();
};

exports.deactivate = function deactivate() {
  return client && client.stop();
};
