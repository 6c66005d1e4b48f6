// SPDX-License-Identifier: GPL-3.0-or-later
// Runs the tool once for each message, on a file system of its own that holds the files given.
onmessage = async ({ data: { files, args, wanted } }) => {
  const said = [];
  const answer = { code: 4, files: {} };
  try {
    const tell = (line) => said.push(line);
    const tool = await makePourclock({ print: tell, printErr: tell, quit: (code, end) => { throw end; } });
    tool.FS.mkdir("/piece");
    tool.FS.chdir("/piece");
    for (const [name, content] of Object.entries(files)) tool.FS.writeFile(name, content);
    answer.code = tool.callMain(args);
    for (const name of wanted)
      if (tool.FS.analyzePath(name).exists) answer.files[name] = tool.FS.readFile(name, { encoding: "utf8" });
  } catch (error) {
    said.push(`pourclock: internal error: ${error}`);
  }
  postMessage({ ...answer, said: said.join("\n") });
};
