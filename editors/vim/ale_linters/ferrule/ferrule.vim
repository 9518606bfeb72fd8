" The language server for ALE.
call ale#Set('ferrule_executable', 'ferrule')
call ale#linter#Define('ferrule', {
\   'name': 'ferrule',
\   'lsp': 'stdio',
\   'executable': {buffer -> ale#Var(buffer, 'ferrule_executable')},
\   'command': '%e serve',
\   'project_root': {buffer -> fnamemodify(bufname(buffer), ':p:h')},
\})
