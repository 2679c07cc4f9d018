import { mount } from 'svelte'
import './look.css'
import App from './shell/App.svelte'
import { start } from './shell/start'

await start()
mount(App, { target: document.getElementById('app')! })
