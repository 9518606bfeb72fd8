-- Starts `ferrule serve` for .fer files. The colours are those of ../vim, which belongs on the runtimepath too.
-- `vim.g.ferrule_path` names the program if it is not on PATH.
local shared = {}  -- server by root, for Neovim before 0.8, which has no vim.lsp.start to do it

local function root_of(file)
  local folder = vim.fn.fnamemodify(file, ':p:h')
  local git = vim.fn.finddir('.git', folder .. ';')
  if git == '' then git = vim.fn.findfile('.git', folder .. ';') end
  return git ~= '' and vim.fn.fnamemodify(git, ':p'):gsub('/$', ''):gsub('/[^/]*$', '') or folder
end

vim.api.nvim_create_autocmd('FileType', {
  pattern = 'ferrule',
  callback = function(event)
    local server = { name = 'ferrule', cmd = { vim.g.ferrule_path or 'ferrule', 'serve' }, root_dir = root_of(event.file) }
    if vim.lsp.start then
      vim.lsp.start(server, { bufnr = event.buf })
      return
    end
    local at = server.root_dir
    server.on_exit = function() shared[at] = nil end
    shared[at] = shared[at] or vim.lsp.start_client(server)
    if shared[at] then vim.lsp.buf_attach_client(event.buf, shared[at]) end
  end,
})
