// A static host as plain as any, with the site in a subfolder; it counts what it is asked for.
import { createReadStream, existsSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import { extname, join, normalize } from 'node:path';

const KINDS = { '.html': 'text/html; charset=utf-8', '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml',
  '.png': 'image/png', '.wasm': 'application/wasm', '.pdf': 'application/pdf', '.webmanifest': 'application/manifest+json' };

export async function serve(site, folder = '/shop/') {
  const asked = [];
  const server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url, 'http://x').pathname);
    asked.push(path);
    const inside = path.startsWith(folder) ? normalize(path.slice(folder.length) || 'index.html') : '..';
    const file = join(site, inside);
    if (inside.startsWith('..') || !existsSync(file) || !statSync(file).isFile()) return response.writeHead(404).end();
    response.writeHead(200, { 'content-type': KINDS[extname(file)] ?? 'application/octet-stream' });
    createReadStream(file).pipe(response);
  });
  await new Promise((listening) => server.listen(0, '127.0.0.1', listening));
  const close = () => new Promise((closed) => {
    server.closeAllConnections();
    server.close(closed);
  });
  return { asked, address: `http://localhost:${server.address().port}${folder}`, close };
}
