// npm start: set up, build, serve.
import { ensurePackages, run } from './setup.mjs';

ensurePackages();
run('npm', ['run', '--silent', 'build']);
run('npx', ['vite', 'preview', '--host', 'localhost', '--port', process.env.PORT ?? '4173']);
