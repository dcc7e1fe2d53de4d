#!/usr/bin/env node
// Plain old JavaScript on purpose: it must run on any Node, to say in one line what to do on an old one.
'use strict';
var major = Number(process.versions.node.split('.')[0]);
if (major < 24) {
  process.stderr.write(
    'thirdhand needs Node 24 or later and this is Node ' +
      process.versions.node +
      ': install a newer one, or from a checkout use "npm run thirdhand -- ..." which brings its own.\n',
  );
  process.exit(2);
}
var enableCompileCache = require('node:module').enableCompileCache;
if (enableCompileCache) enableCompileCache();
import('../dist/thirdhand.js').catch(function (error) {
  process.stderr.write(
    'thirdhand could not start: ' +
      (error && error.message) +
      '\nFrom a checkout, run "npm run build" first.\n',
  );
  process.exit(2);
});
