#!/usr/bin/env bash
# What the format's own validator says of GLB files: bash tests/machines/validate_gltf.sh FILE.glb ...
# Needs node, npm and a network; not part of the tests. Ends with 1 where a file has an error.
set -euo pipefail

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
npm install --silent --no-audit --no-fund --prefix "$work" gltf-validator >/dev/null
cat >"$work/validate.js" <<'JS'
const fs = require('fs');
const validator = require('gltf-validator');
(async () => {
  let errors = 0;
  for (const file of process.argv.slice(2)) {
    const bytes = new Uint8Array(fs.readFileSync(file));
    const { issues } = await validator.validateBytes(bytes, { maxIssues: 1000 });
    errors += issues.numErrors;
    console.log(`${file}: ${issues.numErrors} errors, ${issues.numWarnings} warnings, ` +
      `${issues.numInfos} notes, ${issues.numHints} hints`);
    for (const m of issues.messages) console.log(`  ${m.code} ${m.pointer} ${m.message}`);
  }
  process.exit(errors ? 1 : 0);
})();
JS
node "$work/validate.js" "$@"
