// Every engine and build of models/ exported by the program, and judged by the glTF validator of the Khronos Group:
// no errors, no warnings. Then files that are spoilt on purpose, which it has to find.
//
//   node validate.cjs <folder with node_modules/gltf-validator> <phasewright> <models>
'use strict';
const { execFileSync } = require('child_process');
const fs = require('fs');
const os = require('os');
const path = require('path');

const [folder, program, models] = process.argv.slice(2);
const package_ = path.resolve(folder, 'node_modules', 'gltf-validator');
if (!fs.existsSync(package_)) {
  console.log(`FAILED: the glTF validator is not in ${folder}, so no model was validated`);
  process.exit(1);
}
const validator = require(package_);

// The file with its JSON chunk changed: it comes first, its length at byte 12, itself from byte 20 (glTF 2.0, 4.4).
function withJson(glb, change) {
  const end = 20 + glb.readUInt32LE(12);
  const document = JSON.parse(glb.toString('utf8', 20, end));
  change(document);
  const text = Buffer.from(JSON.stringify(document));
  const padding = Buffer.alloc((4 - (text.length % 4)) % 4, ' ');
  const spoilt = Buffer.concat([glb.subarray(0, 20), text, padding, glb.subarray(end)]);
  spoilt.writeUInt32LE(spoilt.length, 8);
  spoilt.writeUInt32LE(text.length + padding.length, 12);
  return spoilt;
}

async function issuesOf(bytes) {
  return (await validator.validateBytes(new Uint8Array(bytes))).issues;
}

async function main() {
  const scratch = fs.mkdtempSync(path.join(os.tmpdir(), 'phasewright-gltf-'));
  let bad = 0;
  const fail = (words) => { console.log(`FAILED: ${words}`); ++bad; };
  try {
    const file = path.join(scratch, 'model.glb');
    const names = fs.readdirSync(models).filter((name) => name.endsWith('.toml')).sort();
    if (names.length < 8) fail(`only ${names.length} engines and builds in ${models}`);
    const asked = names.map((name) => [path.join(models, name)]);
    asked.push(['--plan', '1', '--nuts'], ['--as', 'reference']);
    for (const words of asked) {
      try {
        execFileSync(program, ['export', '-o', file, ...words], { stdio: 'pipe' });
      } catch (error) {
        if (error.status !== 1) throw error; // 1 = what it shows is not safe; it is written all the same
      }
      const issues = await issuesOf(fs.readFileSync(file));
      console.log(`${words.join(' ')}: ${issues.numErrors} errors, ${issues.numWarnings} warnings, ` +
                  `${issues.numInfos} infos, ${issues.numHints} hints`);
      if (issues.numErrors || issues.numWarnings) fail(JSON.stringify(issues.messages.slice(0, 5), null, 1));
    }
    const sound = fs.readFileSync(file);
    const spoils = {
      'nothing': () => {},
      'a key time moved': (d) => { d.accessors[d.animations[0].samplers[0].input].max = [11]; },
      'a turn that is no unit quaternion': (d) => { d.nodes.find((n) => n.rotation).rotation = [0, 0, 0, 2]; },
      'an index out of the file': (d) => { d.meshes[0].primitives[0].indices = d.accessors.length; },
    };
    for (const [what, change] of Object.entries(spoils)) {
      const found = (await issuesOf(withJson(sound, change))).numErrors;
      console.log(`spoilt, ${what}: ${found} errors`);
      if ((found === 0) !== (what === 'nothing')) fail(`the validator, ${what} spoilt, found ${found} errors`);
    }
  } finally {
    fs.rmSync(scratch, { recursive: true });
  }
  process.exit(bad === 0 ? 0 : 1);
}

main().catch((error) => {
  console.log(error.stderr ? `${error.message}\n${error.stderr}` : error);
  process.exit(1);
});
