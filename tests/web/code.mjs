// The compiled code as the page's worker calls it, here in Node.
import { createRequire } from 'node:module';
import { join } from 'node:path';

export async function loadCode(site) {
  return createRequire(import.meta.url)(join(site, 'measuring.js'))();
}

// As src/web/request.h says; `blobs` are the bytes of its pictures.
export function ask(code, request, blobs = []) {
  const session = code._session_open();
  const put = (place, bytes) => code.HEAPU8.set(bytes, place);
  for (const bytes of blobs) put(code._session_blob(session, bytes.length), bytes);
  const text = new TextEncoder().encode(JSON.stringify(request));
  put(code._session_request(session, text.length), text);
  const answer = JSON.parse(code.UTF8ToString(code._session_answer(session)));
  code._session_close(session);
  return answer;
}
