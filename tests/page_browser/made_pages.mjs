// The pages under test, made by the program that was built: one of each kind, and the longest that is likely.
import { execFileSync, spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const PROGRAM = join(process.env.BUILD, 'bin', 'tapersight');
const PIVOT = ['--pivot', 'right', '--pivot-distance', '45in'];
const TOLERANCE = ['--tolerance', '2thou/12in'];
const CALIPER = ['--fence-end-readings', '.595,.596,.595', '--far-end-readings', '.587,.588,.587'];

function measure(picture, status, ...options) {
  const run = spawnSync(PROGRAM, ['measure', picture, ...options], { cwd: ROOT, encoding: 'utf8' });
  if (run.status !== status) throw new Error(`${picture}: status ${run.status}\n${run.stderr}`);
}

// Names of measurement pages, and of the class sheet beside them.
export function makePages(folder) {
  const scan = (name) => join('testimages', 'scans', `${name}.jpg`);
  const photo = (name) => join('testimages', 'photos', `${name}.jpg`);
  const page = (name) => ['--report', join(folder, `${name}.html`)];
  measure(scan('bench-07-letter-300dpi'), 0, ...PIVOT, '--tolerance', '4thou/12in', ...page('square'));
  measure(scan('bench-11-a4-300dpi'), 0, ...PIVOT, ...TOLERANCE, '--adjust', 'feelers', ...page('adjust'));
  measure(scan('bench-07-letter-300dpi'), 0, '--pivot-distance', '1200mm', '--fence', 'far', '--units', 'mm', '--tolerance',
    '0.1mm/m', '--adjust', 'indicator', '--cut-length', '300mm', ...page('undecided'));
  measure(scan('bench-11-a4-300dpi'), 0, ...page('bare'));
  measure(scan('bench-18-letter-600dpi'), 0, ...PIVOT, '--adjust', 'shims', ...page('fine-scan'));
  measure(scan('bench-03-a4-300dpi'), 0, '--without-target', '--region', '950,250,640,3050', ...PIVOT, ...TOLERANCE, ...page('without-sheet'));
  measure(scan('bench-15-letter-300dpi'), 0, '--ring-pieces', '6', ...PIVOT, '--tolerance', '0.01deg', ...page('ring'));
  measure(photo('bench-09-a4-dark-channel'), 0, '--thickness', '1/2in', ...PIVOT, ...TOLERANCE, ...page('photo'));
  measure(join('testimages', 'rejects', 'two-strips.jpg'), 3, ...page('refused'));
  measure(photo('curled-sheet'), 3, ...page('refused-photo'));
  const record = ['--record', 'bench-14', '--record-folder', folder];
  measure(scan('bench-03-a4-300dpi'), 0, ...PIVOT, ...record);
  measure(scan('bench-14-a4-300dpi'), 0, ...PIVOT, ...TOLERANCE, ...record, ...CALIPER, '--adjust', 'feelers', ...page('longest'));
  execFileSync(join(process.env.BUILD, 'bin', 'make_class_sheet'), [join(folder, 'class.html')]);
  return ['square', 'adjust', 'undecided', 'bare', 'fine-scan', 'without-sheet', 'ring', 'photo', 'refused', 'refused-photo',
    'longest'];
}
